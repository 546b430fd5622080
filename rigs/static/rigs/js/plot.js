// Drag things of a stage plot to their places, or focus one and press arrow keys; R turns what can
// face somewhere. The fields in the form stay what is sent; what is typed there moves the thing, and
// what a riser carries goes along with it.
//
// <div data-plot><svg><g data-scale data-x data-y>…<g data-thing="riser-1" data-carries="unit-2 player-3"
//   tabindex="0">…<path class="plot-nib"></g></g></svg></div>
// <fieldset data-place="riser-1"><input name="riser-1-right"><input name="riser-1-up">
//   <input name="riser-1-faces"><input type="hidden" name="riser-1-carried"></fieldset>
// <datalist id="directions"><option value="stage left" data-degrees="-90"></datalist>

import { filled, gettext, language } from "../../core/js/language.js";

const STEP = 0.1; // metres for an arrow key
const FINE = 0.01; // with Shift
const DRAGGED = 0.05; // to what a place is rounded that was dragged to
const TURN = 15; // degrees for R
// As the audience sees it: stage right is on the left of the sheet.
const ARROWS = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const PER_UNIT = { mm: 0.001, cm: 0.01, m: 1, in: 0.0254, ft: 0.3048 };

const rounded = (metres, step) => Math.round(Math.round(metres / step) * step * 1000) / 1000;
const inCircle = (degrees) => 180 - ((((180 - degrees) % 360) + 360) % 360);

// Plain lengths alone; what is written otherwise is read by the server, and the thing stays put.
function metresOf(text) {
  const match = /^\s*([-−]?)\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|ft)?\s*$/.exec(text);
  if (!match) return null;
  const value = Number(match[2].replace(",", ".")) * PER_UNIT[match[3] ?? "m"];
  return match[1] ? -value : value;
}

// The words that are offered, and degrees to stage right; what is written otherwise is left.
function degreesOf(text, offered) {
  const said = text.trim().toLowerCase();
  if (offered.has(said)) return offered.get(said);
  const match = /^([-−]?)(\d{1,3})\s*°?(?: stage (left|right))?$/.exec(said);
  if (!match) return null;
  return inCircle(Number(match[2]) * (match[1] || match[3] === "left" ? -1 : 1));
}

// As it is, with the decimal sign of the language.
const plain = (value) => value.toLocaleString(language, { maximumFractionDigits: 3, useGrouping: false });

function said(name, right, up) {
  const words = right === 0
    ? gettext("{name}: on the centre line, {up} m upstage")
    : right > 0
      ? gettext("{name}: {across} m stage right, {up} m upstage")
      : gettext("{name}: {across} m stage left, {up} m upstage");
  return filled(words, { name, across: plain(Math.abs(right)), up: plain(up) });
}

function fill(field, value) {
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function attach(frame) {
  const sheet = frame.querySelector("[data-scale]");
  const form = frame.closest("form");
  if (!sheet || !form) return;
  const [scale, zeroX, zeroY] = ["scale", "x", "y"].map((name) => Number(sheet.dataset[name]));
  const status = form.querySelector("[data-plot-said]");
  form.querySelector("[data-plot-help]")?.removeAttribute("hidden");
  const offered = new Map([...form.querySelectorAll("datalist [data-degrees]")]
    .map((option) => [option.value, Number(option.dataset.degrees)]));
  const named = (degrees) => [...offered].find(([, each]) => each === degrees)?.[0]
    ?? `${Math.abs(degrees)}° stage ${degrees > 0 ? "right" : "left"}`;
  const moves = new Map(); // by key: how each thing is moved by so many metres
  const byHand = new Set(); // what somebody moved itself no riser takes along any more

  for (const thing of sheet.querySelectorAll("[data-thing]")) {
    const key = thing.dataset.thing;
    const fields = ["right", "up"].map((name) => form.elements[`${key}-${name}`]);
    const typedHere = fields.every(Boolean);
    const facing = form.elements[`${key}-faces`];
    const carried = form.elements[`${key}-carried`];
    const along = thing.dataset.carries?.split(" ") ?? [];
    const label = sheet.querySelector(`[data-of="${key}"]`);
    const drawn = thing.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
    drawn[2] ??= 0;
    const began = [...drawn];
    const name = thing.querySelector("title").textContent.split(": ")[0];

    const place = () => [(zeroX - drawn[0]) / scale, (zeroY - drawn[1]) / scale];

    function draw(right, up) {
      drawn[0] = zeroX - right * scale;
      drawn[1] = zeroY - up * scale;
      thing.setAttribute("transform", `translate(${drawn[0]} ${drawn[1]}) rotate(${drawn[2]})`);
      label?.setAttribute("transform", `translate(${drawn[0] - began[0]} ${drawn[1] - began[1]})`);
      if (typedHere) thing.setAttribute("aria-label", said(name, rounded(right, FINE), rounded(up, FINE)));
    }

    function write(right, up) {
      if (typedHere) [right, up].forEach((metres, at) => fill(fields[at], `${metres} m`));
    }

    function takeAlong(before) {
      const now = place();
      const step = now.map((metres, axis) => metres - before[axis]);
      for (const other of along) if (!byHand.has(other)) moves.get(other)?.(step);
      if (carried) carried.value = "page";
    }

    moves.set(key, (step) => {
      const [right, up] = place().map((metres, axis) => rounded(metres + step[axis], 0.001));
      draw(right, up);
      write(right, up);
    });
    if (!typedHere || !thing.hasAttribute("tabindex")) continue;

    function put(right, up) {
      const before = place();
      byHand.add(key);
      draw(right, up);
      write(right, up);
      takeAlong(before);
    }

    function typed() {
      const [right, up] = fields.map((field) => metresOf(field.value));
      byHand.add(key);
      if (right !== null && up !== null) {
        const before = place();
        draw(right, up);
        takeAlong(before);
      } else if (carried) {
        carried.value = ""; // the server reads it, and takes along what stands on it
      }
    }

    function turn(degrees) {
      drawn[2] = degrees ?? 0;
      draw(...place());
      const nib = thing.querySelector(".plot-nib");
      if (degrees === null) nib?.setAttribute("display", "none");
      else nib?.removeAttribute("display");
    }

    fields.forEach((field) => field.addEventListener("change", typed));
    facing?.addEventListener("change", () => {
      if (!facing.value.trim()) turn(null);
      const degrees = degreesOf(facing.value, offered);
      if (degrees !== null) turn(degrees);
    });
    // A page that comes back with what was typed draws it; what was carried stands in its own fields.
    if (fields.some((field) => field.value !== field.defaultValue)) {
      const [right, up] = fields.map((field) => metresOf(field.value));
      if (right !== null && up !== null) draw(right, up);
    }

    let held = null; // where in the thing it was taken hold of, in units of the sheet
    const at = (event) => new DOMPoint(event.clientX, event.clientY)
      .matrixTransform(sheet.getScreenCTM().inverse());
    thing.addEventListener("pointerdown", (event) => {
      const point = at(event);
      held = [point.x - drawn[0], point.y - drawn[1]];
      thing.setPointerCapture(event.pointerId);
      thing.focus({ preventScroll: true });
      event.preventDefault();
    });
    thing.addEventListener("pointermove", (event) => {
      if (!held) return;
      const point = at(event);
      put(
        rounded((zeroX - point.x + held[0]) / scale, DRAGGED),
        rounded((zeroY - point.y + held[1]) / scale, DRAGGED),
      );
    });
    for (const end of ["pointerup", "pointercancel"]) {
      thing.addEventListener(end, () => {
        if (held && status) status.textContent = thing.getAttribute("aria-label");
        held = null;
      });
    }
    thing.addEventListener("keydown", (event) => {
      if (facing && event.key.toLowerCase() === "r" && !event.ctrlKey && !event.metaKey && !event.altKey) {
        const degrees = inCircle(drawn[2] + (event.shiftKey ? -TURN : TURN));
        turn(degrees);
        fill(facing, named(degrees));
        if (status) status.textContent = filled(gettext("{name} faces {direction}"), { name, direction: facing.value });
        event.preventDefault();
        return;
      }
      const way = ARROWS[event.key];
      if (!way) return;
      const step = event.shiftKey ? FINE : STEP;
      const now = place();
      put(...now.map((metres, axis) => rounded(rounded(metres, FINE) + way[axis] * step, FINE)));
      if (status) status.textContent = thing.getAttribute("aria-label");
      event.preventDefault();
    });
  }
}

document.querySelectorAll("[data-plot]").forEach(attach);
