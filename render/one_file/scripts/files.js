// The folder that Python writes to, and the browser's storage behind it: one record a file, all
// changes of a request in one transaction.

const DATABASE = "evenstroke";
const STORE = "files";
// A browser that blocks its storage may say nothing at all.
const PATIENCE_MS = 4000;

const done = (asked) =>
  new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });

export function openDatabase() {
  const opened = new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(STORE);
      asked.result.createObjectStore("notes");
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    setTimeout(() => reject(new Error("no answer from the storage")), PATIENCE_MS);
  });
  return opened;
}

export class Files {
  // `state` is "stored", or "visit" where nothing can be stored, or "full" where what was written
  // last could not be.
  constructor(fs, home) {
    this.fs = fs;
    this.home = home;
    this.state = "visit";
    this.found = 0;
    this.stored = new Map();
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
      paths.forEach((path, index) => {
        const isFolder = path.endsWith("/");
        fs.mkdirTree(path.slice(0, path.lastIndexOf("/")));
        if (!isFolder) fs.writeFile(path, contents[index]);
        this.found += !isFolder;
      });
      this.stored = this.signs();
      this.state = "stored";
    } catch (error) {
      console.warn("Nothing is stored:", error);
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

  // Store what changed since the last time; how many records.
  async store() {
    if (!this.database) return 0;
    const now = this.signs();
    const changed = [...now.keys()].filter((path) => this.stored.get(path) !== now.get(path));
    const gone = [...this.stored.keys()].filter((path) => !now.has(path));
    if (!changed.length && !gone.length) return 0;
    try {
      await this.write(changed, gone);
      this.stored = now;
      this.state = "stored";
      return changed.length + gone.length;
    } catch (error) {
      // The next request tries all of it again.
      console.warn("Not stored:", error);
      this.state = error?.name === "QuotaExceededError" ? "full" : "visit";
      return 0;
    }
  }

  write(changed, gone) {
    return new Promise((resolve, reject) => {
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
