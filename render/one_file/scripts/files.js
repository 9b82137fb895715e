// The folder that Python writes to, and the browser's storage behind it: one record a file, all
// changes of a request in one transaction.

// The folder in which the program finds its library.
export const HOME = "/evenstroke";
const DATABASE = "evenstroke";
const STORE = "files";
// A browser that blocks its storage may say nothing at all.
const PATIENCE_MS = 4000;

// What a request to the storage gives.
export const done = (asked) =>
  new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });

export async function openDatabase() {
  const asked = indexedDB.open(DATABASE, 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore(STORE);
    asked.result.createObjectStore("notes");
  };
  const silence = new Promise((_, reject) => {
    setTimeout(() => reject(new Error("no answer from the storage")), PATIENCE_MS);
  });
  return Promise.race([done(asked), silence]);
}

// The content of one file as the storage has it, without the program; undefined where it has none.
export async function remembered(path) {
  try {
    const database = await openDatabase();
    const content = await done(
      database.transaction(STORE).objectStore(STORE).get(`${HOME}/${path}`),
    );
    database.close();
    return content;
  } catch {
    return undefined;
  }
}

// Of two tables of signs: the paths that are new or others in the second, and those that it lacks.
const differences = (before, after) => ({
  changed: [...after.keys()].filter((path) => before.get(path) !== after.get(path)),
  gone: [...before.keys()].filter((path) => !after.has(path)),
});

export class Files {
  // `state` is "stored", or "visit" where nothing can be stored, or "full" where what was written
  // last could not be.
  constructor(fs, home) {
    this.fs = fs;
    this.home = home;
    this.state = "visit";
    this.stored = new Map(); // what the storage has
    this.seen = this.stored; // what was there after the last request, stored or not
    this.database = null;
  }

  async restore() {
    const { fs } = this;
    fs.mkdirTree(this.home);
    try {
      this.database = await openDatabase();
      const store = this.database.transaction(STORE).objectStore(STORE);
      const [paths, contents] = await Promise.all([
        done(store.getAllKeys()),
        done(store.getAll()),
      ]);
      paths.forEach((path, index) => this.take(path, contents[index]));
      this.state = "stored";
    } catch (error) {
      console.warn("Nothing is stored:", error);
      this.database = null;
    }
    this.seen = this.stored = this.signs();
  }

  // One record as a file or a folder. Some browsers give all pages on a disk one storage, so a
  // record may be anybody's: what is none of ours is passed over, and stays where it is.
  take(path, content) {
    const below = typeof path === "string" && path.startsWith(`${this.home}/`);
    if (!below || path.split("/").includes("..")) return;
    const isFolder = path.endsWith("/");
    if (!isFolder && !(content instanceof Uint8Array)) return;
    try {
      this.fs.mkdirTree(path.slice(0, path.lastIndexOf("/")));
      if (!isFolder) this.fs.writeFile(path, content);
    } catch (error) {
      console.warn("Passed over:", path, error);
    }
  }

  // Each path, with what changes when its content does.
  signs(folder = this.home, found = new Map()) {
    const { fs } = this;
    for (const name of fs.readdir(folder)) {
      if (name === "." || name === "..") continue;
      const path = `${folder}/${name}`;
      const { mode, mtime, size, ino } = fs.stat(path);
      if (fs.isDir(mode)) this.signs(path, found.set(`${path}/`, "folder"));
      else found.set(path, `${ino} ${Number(mtime)} ${size}`);
    }
    return found;
  }

  // Store what is not stored yet; how many files changed since the last request, stored or not.
  async store() {
    const now = this.signs();
    const wrote = differences(this.seen, now);
    this.seen = now;
    const { changed, gone } = differences(this.stored, now);
    try {
      if (changed.length || gone.length) await this.write(changed, gone);
      if (this.database) this.state = "stored";
      this.stored = now;
    } catch (error) {
      // The next request tries all of it again.
      console.warn("Not stored:", error);
      this.state = error?.name === "QuotaExceededError" ? "full" : "visit";
    }
    return wrote.changed.length + wrote.gone.length;
  }

  async write(changed, gone) {
    if (!this.database) return;
    await new Promise((resolve, reject) => {
      const turn = this.database.transaction(STORE, "readwrite", { durability: "strict" });
      const store = turn.objectStore(STORE);
      for (const path of changed)
        store.put(path.endsWith("/") ? null : this.fs.readFile(path), path);
      for (const path of gone) store.delete(path);
      turn.oncomplete = resolve;
      turn.onabort = turn.onerror = () => reject(turn.error);
    });
  }
}
