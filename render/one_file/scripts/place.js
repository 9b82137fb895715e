// Where this page runs, for the page that runs from one file: in place of static/place.js. The
// program answers in the same browser (python.js), and pages follow each other in one document.

const { root, send, goTo, pathNow, pushAddress } = globalThis.evenstroke.forPage();

export { root, send, goTo, pathNow, pushAddress };

// An answer takes a turn of the worker, which nothing here can wait for.
export const canSendNow = false;
export const sendNow = () => null;

// The worker does one thing after the other.
export const canAskMeanwhile = false;
