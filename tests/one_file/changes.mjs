// In the page: a way of the blank "fit" after the other, each until the picture is another.
export async function changes(count) {
  const figure = document.getElementById("picture");
  const took = [];
  for (let turn = 0; turn < count; turn += 1) {
    const chosen = document.querySelector("section.note [role=radio][aria-checked=true]");
    const began = performance.now();
    const swapped = new Promise((done) => {
      const seen = new MutationObserver(() => {
        seen.disconnect();
        done();
      });
      seen.observe(figure, { subtree: true, childList: true, attributes: true });
    });
    const key = turn % 2 ? "ArrowUp" : "ArrowDown";
    chosen.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
    await swapped;
    took.push(performance.now() - began);
    await new Promise((done) => setTimeout(done, 30));
  }
  return took.sort((a, b) => a - b);
}
