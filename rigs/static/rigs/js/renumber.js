// Rows of a list are dragged by their handle, or moved by the arrow keys on it. The number fields
// keep their places: whoever comes to a place takes its number, so that none is lost and gaps stay.
//
// <p data-renumber-help hidden>…</p> <p role="status" data-renumber-said></p>
// <ol data-renumber><li data-name="Kick"><button type="button" hidden>…</button><input></li>…</ol>

import { filled, gettext } from "../../core/js/language.js";

const EDGE = 96; // pixels from the top and bottom of the screen where the page scrolls along
const SCROLL = 12; // pixels a frame

const numberOf = (row) => row.querySelector("input");

// Steps over one neighbour. The neighbour is what moves in the document: the row itself keeps the
// focus and the finger that holds it.
function step(row, down) {
  const other = down ? row.nextElementSibling : row.previousElementSibling;
  if (!other) return false;
  if (down) row.before(other);
  else row.after(other);
  const [own, theirs] = [numberOf(row), numberOf(other)];
  [own.value, theirs.value] = [theirs.value, own.value];
  own.dispatchEvent(new Event("input", { bubbles: true })); // so that leaving the page asks first
  return true;
}

const placeOf = (row) => [...row.parentElement.children].indexOf(row);

function moveTo(row, place) {
  while (placeOf(row) < place && step(row, true));
  while (placeOf(row) > place && step(row, false));
}

function attach(list) {
  const said = document.querySelector("[data-renumber-said]");
  document.querySelector("[data-renumber-help]")?.removeAttribute("hidden");
  const tell = (row) => {
    const number = numberOf(row).value;
    const words = number
      ? gettext("{name}: channel {number}, place {place} of {all}")
      : gettext("{name}: no channel, place {place} of {all}");
    const { name } = row.dataset;
    said.textContent = filled(words, { name, number, place: placeOf(row) + 1, all: list.children.length });
  };

  let held = null; // { row, from, y, pointer }
  const follow = () => {
    if (!held) return;
    const { row, y } = held;
    if (y < EDGE) window.scrollBy(0, -SCROLL);
    if (y > window.innerHeight - EDGE) window.scrollBy(0, SCROLL);
    let guard = list.children.length;
    while (guard-- && passed(row, y));
    held.frame = requestAnimationFrame(follow);
  };
  const passed = (row, y) => {
    const [before, after] = [row.previousElementSibling, row.nextElementSibling];
    if (after && y > middle(after)) return step(row, true);
    return before && y < middle(before) ? step(row, false) : false;
  };
  const middle = (row) => {
    const box = row.getBoundingClientRect();
    return box.top + box.height / 2;
  };
  const letGo = (keep) => {
    if (!held) return;
    const { row, from } = held;
    cancelAnimationFrame(held.frame);
    row.classList.remove("is-held");
    held = null;
    if (!keep) moveTo(row, from);
    if (placeOf(row) !== from || !keep) tell(row);
  };

  for (const row of list.children) {
    const handle = row.querySelector("button");
    handle.hidden = false;
    handle.addEventListener("pointerdown", (event) => {
      if (event.button !== 0 || held) return;
      handle.setPointerCapture(event.pointerId);
      held = { row, from: placeOf(row), y: event.clientY };
      row.classList.add("is-held");
      held.frame = requestAnimationFrame(follow);
    });
    handle.addEventListener("pointermove", (event) => {
      if (held?.row === row) held.y = event.clientY;
    });
    handle.addEventListener("pointerup", () => letGo(true));
    handle.addEventListener("pointercancel", () => letGo(false));
    handle.addEventListener("keydown", (event) => {
      const to = {
        ArrowUp: placeOf(row) - 1, ArrowDown: placeOf(row) + 1, Home: 0, End: list.children.length - 1,
      }[event.key];
      if (event.key === "Escape") letGo(false);
      if (to === undefined) return;
      event.preventDefault();
      moveTo(row, Math.min(Math.max(to, 0), list.children.length - 1));
      row.scrollIntoView({ block: "nearest" });
      tell(row);
    });
  }
}

document.querySelectorAll("[data-renumber]").forEach(attach);
