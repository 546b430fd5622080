// Place a pin on a picture: tap the picture, drag the pin, or focus the pin and press arrow keys.
// The fields, in per cent of the picture, stay what is sent.
//
// <div data-pin-stage><div class="pinned"><img><svg>… <svg data-draft>…</svg></svg></div></div>
// <input data-pin-axis="x"> <input data-pin-axis="y">

import { filled, gettext } from "../../core/js/language.js";

const STEP = 1; // per cent for an arrow key
const LEAP = 5; // with Shift
const FLIP = 15; // nearer to the top than this, the disc hangs below its spot (drawing/pins.py)
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const within = (value) => Math.min(Math.max(Math.round(value * 100) / 100, 0), 100);

function attach(stage) {
  const fields = ["x", "y"].map((axis) => document.querySelector(`[data-pin-axis="${axis}"]`));
  const draft = stage.querySelector("[data-draft]");
  const picture = stage.querySelector("img");
  if (!draft || fields.includes(null)) return;

  const now = () => fields.map((field) => within(Number(field.value) || 0));

  function show() {
    const [x, y] = now();
    draft.setAttribute("x", `${x}%`);
    draft.setAttribute("y", `${y}%`);
    turn(draft, y < FLIP);
    draft.setAttribute("aria-valuenow", Math.round(x));
    draft.setAttribute("aria-valuetext", filled(gettext("{x} % from the left, {y} % from the top"), { x, y }));
  }

  function put(place) {
    fields.forEach((field, at) => {
      field.value = String(within(place[at]));
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }

  function putAt(event) {
    const box = picture.getBoundingClientRect();
    put([
      ((event.clientX - box.left) / box.width) * 100,
      ((event.clientY - box.top) / box.height) * 100,
    ]);
  }

  let drag = null;
  draft.addEventListener("pointerdown", (event) => {
    // The pin keeps the distance at which it was taken hold of, so that it does not jump.
    const box = picture.getBoundingClientRect();
    const [x, y] = now();
    drag = {
      x: event.clientX - (box.left + (x / 100) * box.width),
      y: event.clientY - (box.top + (y / 100) * box.height),
    };
    draft.setPointerCapture(event.pointerId);
    draft.focus();
    event.preventDefault();
  });
  draft.addEventListener("pointermove", (event) => {
    if (drag) putAt({ clientX: event.clientX - drag.x, clientY: event.clientY - drag.y });
  });
  for (const end of ["pointerup", "pointercancel"]) {
    draft.addEventListener(end, () => { drag = null; });
  }
  stage.querySelector(".pinned").addEventListener("click", (event) => {
    if (draft.contains(event.target)) return;
    putAt(event);
    draft.focus({ preventScroll: true });
  });
  draft.addEventListener("keydown", (event) => {
    const by = ARROWS[event.key];
    if (!by || event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? LEAP : STEP;
    put(now().map((value, at) => value + by[at] * far));
    event.preventDefault();
  });
  for (const field of fields) field.addEventListener("input", show);

  for (const [name, value] of Object.entries({
    tabindex: 0, role: "slider", "aria-label": gettext("The pin"), "aria-roledescription": gettext("pin"),
    "aria-valuemin": 0, "aria-valuemax": 100,
  })) draft.setAttribute(name, value);
  stage.querySelector("[data-pin-hint]").hidden = false;
  stage.classList.add("is-ready");
  show();
}

// The disc above its spot, or below it near the top edge, as the server draws it.
function turn(draft, below) {
  const rise = Math.abs(Number(draft.querySelector(".pin-head").getAttribute("cy")));
  const at = below ? rise : -rise;
  draft.querySelector(".pin-head").setAttribute("cy", at);
  draft.querySelector(".pin-number").setAttribute("y", at);
  draft.querySelector(".pin-reach").setAttribute("cy", at / 2);
  draft.querySelector(".pin-tip").setAttribute("d", `M0 0L-7 ${at / 2}H7Z`);
}

document.querySelectorAll("[data-pin-stage]").forEach(attach);
