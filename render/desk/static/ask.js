// Questions to the server: the newest only, one under way at a time.

import { send } from "./place.js";
import { text } from "./texts.js";

export class Asker {
  constructor(send) {
    this.send = send;
    this.waiting = null;
    this.busy = false;
  }

  // Ask when the one under way is answered; an older question that still waits is dropped and gets
  // null.
  ask(question) {
    return new Promise((resolve, reject) => {
      this.waiting?.resolve(null);
      this.waiting = { question, resolve, reject };
      this.next();
    });
  }

  async next() {
    if (this.busy || !this.waiting) return;
    const { question, resolve, reject } = this.waiting;
    this.waiting = null;
    this.busy = true;
    try {
      resolve(await this.send(question));
    } catch (error) {
      reject(error);
    } finally {
      this.busy = false;
      this.next();
    }
  }
}

export class Refused extends Error {}

export async function post(address, body) {
  const isFile = body instanceof Blob;
  // A file goes under its own name.
  const named = body instanceof File ? `?name=${encodeURIComponent(body.name)}` : "";
  const reply = await send(address + named, {
    method: "POST",
    headers: isFile
      ? { "Content-Type": body.type || "application/octet-stream" }
      : { "Content-Type": "application/json" },
    body: isFile ? body : JSON.stringify(body ?? {}),
  });
  const data = (reply.headers.get("Content-Type") || "").startsWith("application/json")
    ? await reply.json()
    : { wrong: [await reply.text()] };
  if (!reply.ok) throw new Refused((data.wrong || [text("not_worked")]).join(" "));
  return data;
}

export async function get(address) {
  const reply = await send(address, { headers: { Accept: "application/json" } });
  if (!reply.ok) throw new Refused(text("gone"));
  return reply.json();
}
