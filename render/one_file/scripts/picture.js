// A picture as PNG, drawn by the browser from the program's own SVG.

const WIDE_PX = 1600;

export async function pictureOf({ status, headers, content }) {
  const image = new Image();
  const address = URL.createObjectURL(new Blob([content], { type: "image/svg+xml" }));
  try {
    image.src = address;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = WIDE_PX;
    canvas.height = Math.round((WIDE_PX * image.naturalHeight) / image.naturalWidth);
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const made = await new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
    const name = headers["content-disposition"].replace(".svg", ".png");
    return {
      status,
      headers: { "content-type": "image/png", "content-disposition": name },
      content: new Uint8Array(await made.arrayBuffer()),
    };
  } finally {
    URL.revokeObjectURL(address);
  }
}
