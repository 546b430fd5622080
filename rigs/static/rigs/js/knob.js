// A knob beside a typed setting: drag it up and down, or press the arrow keys in the field.
//
// <div class="field"><input data-dial="clock" value="2:30"></div>
// <div class="field"><input data-dial="dial" data-low="0" data-high="10" value="6.5"></div>
// <div class="field"><input data-dial="" value="10"></div>  (nobody has said which of the two it is)
//
// Where each control says for itself what it is, data-dial="none" is one that is no dial:
//
// <div data-dial-line><input data-dial=""><select data-dial-style></select><input data-dial-ends></div>

import { filled, gettext, language } from "../../core/js/language.js";

const SWEEP = 300; // degrees, from 7 o'clock round to 5 o'clock
const HALF = SWEEP / 2;
const PER_PIXEL = 1.5; // degrees turned for each pixel dragged
const SVG = "http://www.w3.org/2000/svg";

const clock = {
  step: 7.5, // a quarter of an hour
  degrees(text) {
    // The server reads the words of each language; here those that are usual are enough.
    const found = /^\s*(\d{1,2})(?:[:.h時](\d{2}))?\s*(?:o['’]?clock|uhr|h|heures?|[時分])?\s*$/i.exec(text);
    if (!found) return null;
    const angle = (found[1] % 12) * 30 + (found[2] ?? 0) * 0.5;
    return angle > 180 ? angle - 360 : angle;
  },
  text(degrees) {
    const minutes = Math.round(((degrees + 360) % 360) * 2);
    return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
  },
  words(degrees) {
    const time = clock.text(degrees);
    if (!time.endsWith(":00")) return time;
    return filled(gettext("{hour} o’clock"), { hour: time.slice(0, -3) });
  },
};

function numbered(low, high) {
  const by = high - low > 20 ? 1 : 0.5;
  const per = SWEEP / (high - low);
  const text = (degrees) =>
    ((degrees + HALF) / per + low).toLocaleString(language, { maximumFractionDigits: 2, useGrouping: false });
  return {
    step: by * per,
    degrees(text) {
      const value = Number(text.replace(/\s*(?:of|\/).*$/i, "").replace(",", "."));
      return text.trim() && Number.isFinite(value) ? (value - low) * per - HALF : null;
    },
    text,
    words: (degrees, top) => filled(gettext("{value} of {most}"), { value: text(degrees), most: top }),
  };
}

// A dial that may be read either way points where only one of them can be; turned, it says a time.
function either(numbers) {
  const within = (degrees) => (degrees !== null && Math.abs(degrees) <= HALF ? degrees : null);
  return {
    step: clock.step,
    degrees(text) {
      const time = within(clock.degrees(text));
      const number = within(numbers.degrees(text));
      return time === null || number === null ? time ?? number : null;
    },
    text: clock.text,
    words: () => "",
  };
}

// A switch, or words: nothing to turn.
const none = { step: 0, degrees: () => null, text: () => "", words: () => "" };

function turn(input, scale, degrees) {
  if (!scale.step) return;
  const steps = Math.round((degrees + HALF) / scale.step);
  const limited = Math.min(Math.max(steps * scale.step - HALF, -HALF), HALF);
  input.value = scale.text(limited);
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

function drawn(knob) {
  const picture = document.createElementNS(SVG, "svg");
  picture.setAttribute("viewBox", "-20 -20 40 40");
  const face = document.createElementNS(SVG, "circle");
  face.setAttribute("r", 15);
  const pointer = document.createElementNS(SVG, "line");
  for (const [name, value] of [["y1", -5], ["y2", -13], ["stroke-width", 3]]) {
    pointer.setAttribute(name, value);
  }
  picture.append(face, pointer);
  knob.append(picture);
  return pointer;
}

// What a page has drawn and said of the setting follows what is typed.
function redraw(input, words, degrees) {
  const taken = input.closest(".taken")?.querySelector("[data-taken]");
  if (!taken) return;
  taken.querySelector("[data-taken-words]").textContent = words || gettext("not read yet");
  taken.querySelectorAll(".dial-unset").forEach((mark) => {
    mark.setAttribute("visibility", words ? "hidden" : "visible");
  });
  let pointer = taken.querySelector(".dial-pointer");
  if (!pointer) {
    pointer = document.createElementNS(SVG, "line");
    const drawn = { class: "dial-pointer", stroke: "currentColor", "stroke-width": 4, "stroke-linecap": "round" };
    for (const [name, value] of Object.entries(drawn)) pointer.setAttribute(name, value);
    taken.querySelector("svg").append(pointer);
  }
  const straightUp = { x1: 36, y1: 31, x2: 36, y2: 19, visibility: words ? "visible" : "hidden" };
  for (const [name, value] of Object.entries(straightUp)) pointer.setAttribute(name, value);
  pointer.setAttribute("transform", `rotate(${degrees} 36 36)`);
}

function attach(input) {
  const scale = () => {
    const { dial, low, high } = input.dataset;
    const numbers = numbered(Number(low), Number(high));
    return { clock, dial: numbers, "": either(numbers), none }[dial];
  };
  // The field itself is the control; the knob is another way to it for a finger.
  const knob = document.createElement("span");
  knob.className = "knob";
  knob.setAttribute("aria-hidden", "true");
  const pointer = drawn(knob);
  // A Japanese keyboard writes wide figures.
  const typed = () => input.value.normalize("NFKC");
  const now = () => Math.min(Math.max(scale().degrees(typed()) ?? -HALF, -HALF), HALF);
  const show = () => {
    pointer.setAttribute("transform", `rotate(${now()})`);
    const degrees = scale().degrees(typed());
    const isOn = degrees !== null && Math.abs(degrees) <= HALF;
    knob.hidden = input.dataset.dial === "none";
    pointer.setAttribute("visibility", degrees === null ? "hidden" : "visible");
    redraw(input, isOn ? scale().words(now(), input.dataset.high) : "", now());
  };
  let start = null;
  knob.addEventListener("pointerdown", (event) => {
    start = { y: event.clientY, degrees: now() };
    knob.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  knob.addEventListener("pointermove", (event) => {
    if (start) turn(input, scale(), start.degrees + (start.y - event.clientY) * PER_PIXEL);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    knob.addEventListener(end, () => { start = null; });
  }
  input.addEventListener("keydown", (event) => {
    const by = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!by || !scale().step) return;
    turn(input, scale(), now() + by * scale().step);
    event.preventDefault();
  });
  input.addEventListener("input", show);
  input.after(knob);
  show();
}

// How the dials of a unit are read, said once for all of them: those of its fieldset, or of the form.
const STYLES = { clock: ["clock", "2:30"], numbers: ["dial", "6.5"], "": ["", gettext("2:30 or 6.5")] };

function follow(choice) {
  const unit = choice.closest("[data-unit-dials]") ?? choice.form;
  const dials = [...unit.querySelectorAll("input[data-dial]")];
  choice.addEventListener("change", () => {
    const [style, example] = STYLES[choice.value];
    for (const input of dials) {
      // A control that says what it is, is that.
      if (input.closest("[data-dial-line]")?.querySelector("[data-dial-style]").value) continue;
      input.dataset.dial = style;
      input.placeholder = example;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
}

// What one control says of itself: its kind, and the ends of its numbers.
function ownKind(line) {
  const input = line.querySelector("input[data-dial]");
  const style = line.querySelector("[data-dial-style]");
  const ends = line.querySelector("[data-dial-ends]");
  const unit = line.closest("[data-unit-dials]");
  const told = () => {
    const all = unit.querySelector("select[data-dials], [data-dials]:checked")?.value ?? "";
    const own = style.value in { clock, dial: 0 } ? style.value : "none";
    input.dataset.dial = style.value ? own : STYLES[all][0];
    const said = /^\s*(-?[\d.,]+)\s*(?:to|–|-|\.\.)\s*(-?[\d.,]+)\s*$/i.exec(ends.value);
    const [low, high] = said ? said.slice(1).map((end) => Number(end.replace(",", "."))) : [0, 10];
    if (low < high) Object.assign(input.dataset, { low, high });
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  for (const field of [style, ends]) field.addEventListener("input", told);
}

document.querySelectorAll("input[data-dial]").forEach(attach);
document.querySelectorAll("[data-dial-line]").forEach(ownKind);
document.querySelectorAll("[data-dials]").forEach(follow);
