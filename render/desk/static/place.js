// Where this page runs: the one module that knows of addresses. A server answers here; the page
// that runs from one file puts a module with the same names in place of this one
// (render/one_file/scripts/place.js).

// What all addresses begin with: a path that nobody can guess.
export const root = new URL("..", import.meta.url).pathname.slice(0, -1);

// Asks as fetch does.
export const send = (address, more) => fetch(address, more);

// The JSON that a POST of `body` gives, before this returns: for what cannot wait. Null where it
// is not had.
export function sendNow(address, body) {
  const asked = new XMLHttpRequest();
  asked.open("POST", address, false);
  asked.setRequestHeader("Content-Type", "application/json");
  try {
    asked.send(JSON.stringify(body));
    return asked.status === 200 ? JSON.parse(asked.responseText) : null;
  } catch {
    return null;
  }
}

// Whether there is a sendNow; else what it would be asked for has to be there before.
export const canSendNow = true;

// Whether something else can be asked while an answer is worked out.
export const canAskMeanwhile = true;

// Leaves for another page.
export const goTo = (address) => location.assign(address);

// The address of this page without its host, and a new one for what the page shows now.
export const pathNow = () => location.pathname;
export const pushAddress = (state, address) => history.pushState(state, "", address);
