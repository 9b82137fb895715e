// The Python beside this page: one request, one answer.

let worker;
let ids = 0;
const waiting = new Map();

function message(asked, transfer = []) {
  const id = ++ids;
  return new Promise((resolve, reject) => {
    waiting.set(id, { resolve, reject });
    worker.postMessage({ id, ...asked }, transfer);
  });
}

// Start it: `code` is the worker's script, `parts` go over to it.
export function begin(code, boot, onReached) {
  worker = new Worker(URL.createObjectURL(new Blob([code], { type: "text/javascript" })));
  worker.onmessage = ({ data: { id, said, wrong, reached } }) => {
    if (reached) return onReached(reached);
    const { resolve, reject } = waiting.get(id);
    waiting.delete(id);
    if (wrong === undefined) resolve(said);
    else reject(new Error(wrong));
  };
  worker.onerror = (event) => {
    for (const { reject } of waiting.values()) reject(new Error(event.message));
    waiting.clear();
  };
  return message({ boot }, Object.values(boot.parts).map((part) => part.buffer));
}

// `method`, `address`, and for a POST `body` (bytes) and its `kind`.
export const ask = (request) => message(request);
