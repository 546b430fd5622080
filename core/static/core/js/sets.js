// The set of a show, and other lines in order: moved on the page, and saved together.
//
// <form data-set>  with one list or several; a line stays in its list
//   <li data-line> … <div data-grip><input></div> … <button data-step="up"> </li>
//   <span data-changed hidden>  shown while something is not saved
//
// Without this, each press of an arrow saves, and numbers are typed.

const form = document.querySelector("form[data-set]");
const FAR = 6; // pixels: less is a press

const linesOf = () => [...form.querySelectorAll("[data-line]")];
const placeOf = (line) => line.querySelector("[data-grip] input");

function touched(line) {
  form.querySelector("[data-changed]").hidden = false;
  // The guard against leaving, and drafts, listen to this.
  placeOf(line).dispatchEvent(new Event("input", { bubbles: true }));
}

function renumber(line) {
  linesOf().forEach((each, at) => {
    placeOf(each).value = at + 1;
    each.querySelector("[data-step=up]").disabled = !each.previousElementSibling;
    each.querySelector("[data-step=down]").disabled = !each.nextElementSibling;
  });
  touched(line);
}

function step(line, way) {
  const other = way === "up" ? line.previousElementSibling : line.nextElementSibling;
  if (!other) return;
  if (way === "up") other.before(line);
  else other.after(line);
  renumber(line);
}

function drag(line, pointer) {
  const from = linesOf();
  let moving = false;
  const move = (event) => {
    if (!moving && Math.abs(event.clientY - pointer.clientY) < FAR) return;
    moving = true;
    event.preventDefault();
    document.activeElement?.blur();
    line.classList.add("is-dragged");
    const others = linesOf().filter((each) => each !== line && each.parentElement === line.parentElement);
    const below = others.find((each) => {
      const { top, height } = each.getBoundingClientRect();
      return event.clientY < top + height / 2;
    });
    if (below && line.nextElementSibling !== below) below.before(line);
    if (!below && line.nextElementSibling) others.at(-1)?.after(line);
    const edge = innerHeight / 8;
    if (event.clientY < edge) scrollBy(0, -8);
    if (event.clientY > innerHeight - edge) scrollBy(0, 8);
  };
  const end = () => {
    document.removeEventListener("pointermove", move);
    document.removeEventListener("pointerup", end);
    document.removeEventListener("pointercancel", end);
    line.classList.remove("is-dragged");
    if (moving && linesOf().some((each, at) => each !== from[at])) renumber(line);
  };
  // On the document: a line that is moved in the list would lose the pointer it had caught.
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", end);
  document.addEventListener("pointercancel", end);
}

if (form) {
  form.classList.add("is-dragging-on");
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-step]");
    if (!button) return;
    event.preventDefault();
    step(button.closest("[data-line]"), button.dataset.step);
    button.focus();
  });
  form.addEventListener("pointerdown", (event) => {
    const grip = event.target.closest("[data-grip]");
    if (grip && event.isPrimary && event.button === 0) drag(grip.closest("[data-line]"), event);
  });
  form.addEventListener("keydown", (event) => {
    const way = { ArrowUp: "up", ArrowDown: "down" }[event.key];
    if (!way || !event.target.closest("[data-grip]")) return;
    event.preventDefault();
    step(event.target.closest("[data-line]"), way);
    event.target.focus();
  });
  form.addEventListener("input", () => {
    form.querySelector("[data-changed]").hidden = false;
  });
}
