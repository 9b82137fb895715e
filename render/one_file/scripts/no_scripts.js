// Pyodide tries, as it is read, whether it may load scripts, which the page's policy forbids and a
// browser would report. It has all of them, so it may find that out here.

self.importScripts = () => {
  throw new TypeError("nothing is fetched");
};
