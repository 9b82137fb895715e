export { open } from "./plain.js";
