// What all addresses of this page begin with, as its Python has it (render.desk.place.OneFile).
export const root = "/e";
