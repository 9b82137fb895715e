// The parts of the program: from this very page where it is one file, from beside it where it is a
// folder on a host.

async function unpacked(stream) {
  const plain = stream.pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(plain).arrayBuffer());
}

function bytesOf(text) {
  if (Uint8Array.fromBase64) return Uint8Array.fromBase64(text);
  return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
}

// Each part by its name; `onPart` is told after each.
export async function readParts(names, onPart) {
  const read = async (name) => {
    const here = document.getElementById(name);
    const text = here?.textContent;
    here?.remove();
    const stream = here ? new Blob([bytesOf(text)]).stream() : (await fetch(`${name}.bin`)).body;
    const content = await unpacked(stream);
    onPart();
    return [name, content];
  };
  return Object.fromEntries(await Promise.all(names.map(read)));
}
