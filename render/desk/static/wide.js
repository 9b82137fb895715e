// Pictures that are wider than their window say that they scroll.

const looked = new ResizeObserver((entries) => {
  for (const { target } of entries) look(target);
});

function look(wide) {
  const more = wide.scrollWidth > wide.clientWidth + 1;
  wide.classList.toggle("scrolls", more);
  const hint = wide.nextElementSibling;
  if (hint?.matches(".scroll-hint")) hint.hidden = !more;
}

export function lookAtWide(element) {
  for (const wide of element.querySelectorAll(".wide")) looked.observe(wide);
}
