// Questions to the server, one under way at a time. Of those that only try something the newest
// alone is asked; what becomes a step is never passed over.

import { send } from "./place.js";
import { text } from "./texts.js";
import { NAMED, workName, working } from "./working.js";

export class Asker {
  constructor(send) {
    this.send = send;
    this.waiting = [];
    this.busy = false;
  }

  // Ask when those before are answered. One that waits and commits nothing is dropped and gets null.
  ask(question, commits) {
    if (this.waits && !this.waits.commits) this.waiting.pop().resolve(null);
    const asked = { question, commits };
    asked.answered = new Promise((resolve, reject) => Object.assign(asked, { resolve, reject }));
    this.waiting.push(asked);
    this.next();
    return asked.answered;
  }

  // The last one that waits.
  get waits() {
    return this.waiting.at(-1);
  }

  async next() {
    if (this.busy || !this.waiting.length) return;
    const { question, resolve, reject } = this.waiting.shift();
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

// `where` are the names of the fields that are wrong.
export class Refused extends Error {
  constructor(words, where = []) {
    super(words);
    this.where = where;
  }
}

export async function post(address, body) {
  const isFile = body instanceof Blob;
  // A file goes under its own name.
  const more = address.includes("?") ? "&" : "?";
  const named = body instanceof File ? `${more}name=${encodeURIComponent(body.name)}` : "";
  const name = workName();
  const type = isFile ? body.type || "application/octet-stream" : "application/json";
  const asked = send(address + named, {
    method: "POST",
    headers: { "Content-Type": type, [NAMED]: name },
    body: isFile ? body : JSON.stringify(body ?? {}),
  });
  const reply = await working(asked, address, name);
  const data = (reply.headers.get("Content-Type") || "").startsWith("application/json")
    ? await reply.json()
    : { wrong: [await reply.text()] };
  if (!reply.ok) throw new Refused((data.wrong || [text("not_worked")]).join(" "), data.where);
  return data;
}

export async function get(address) {
  const name = workName();
  const asked = send(address, { headers: { Accept: "application/json", [NAMED]: name } });
  const reply = await working(asked, address, name);
  if (!reply.ok) throw new Refused(text("gone"));
  return reply.json();
}
