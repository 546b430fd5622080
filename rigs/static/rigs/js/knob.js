// A knob beside a typed setting: drag it up and down, or press the arrow keys in the field.
//
// <div class="field"><input data-dial="clock" value="2:30"></div>
// <div class="field"><input data-dial="dial" data-low="0" data-high="10" value="6.5"></div>

const SWEEP = 300; // degrees, from 7 o'clock round to 5 o'clock
const HALF = SWEEP / 2;
const PER_PIXEL = 1.5; // degrees turned for each pixel dragged
const SVG = "http://www.w3.org/2000/svg";

const clock = {
  step: 7.5, // a quarter of an hour
  degrees(text) {
    const found = /^\s*(\d{1,2})(?:[:.h](\d{2}))?\s*$/.exec(text);
    if (!found) return null;
    const angle = (found[1] % 12) * 30 + (found[2] ?? 0) * 0.5;
    return angle > 180 ? angle - 360 : angle;
  },
  text(degrees) {
    const minutes = Math.round(((degrees + 360) % 360) * 2);
    return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
  },
};

function numbered(low, high) {
  const by = high - low > 20 ? 1 : 0.5;
  const per = SWEEP / (high - low);
  return {
    step: by * per,
    degrees(text) {
      const value = Number(text.replace(",", "."));
      return text.trim() && Number.isFinite(value) ? (value - low) * per - HALF : null;
    },
    text: (degrees) => String(Math.round(((degrees + HALF) / per + low) * 100) / 100),
  };
}

function turn(input, scale, degrees) {
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

function attach(input) {
  const { low, high } = input.dataset;
  const numbers = numbered(Number(low), Number(high));
  const scale = () => (input.dataset.dial === "clock" ? clock : numbers);
  // The field itself is the control; the knob is another way to it for a finger.
  const knob = document.createElement("span");
  knob.className = "knob";
  knob.setAttribute("aria-hidden", "true");
  const pointer = drawn(knob);
  const now = () => Math.min(Math.max(scale().degrees(input.value) ?? -HALF, -HALF), HALF);
  const show = () => {
    pointer.setAttribute("transform", `rotate(${now()})`);
    pointer.setAttribute("visibility", scale().degrees(input.value) === null ? "hidden" : "visible");
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
    if (!by) return;
    turn(input, scale(), now() + by * scale().step);
    event.preventDefault();
  });
  input.addEventListener("input", show);
  input.after(knob);
  show();
}

// Gear whose dials have numbers, said once for all of them.
function follow(choice) {
  const dials = [...choice.form.querySelectorAll("input[data-dial]")];
  choice.addEventListener("change", () => {
    for (const input of dials) {
      input.dataset.dial = choice.value === "clock" ? "clock" : "dial";
      input.placeholder = choice.value === "clock" ? "2:30" : "6.5";
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
}

document.querySelectorAll("input[data-dial]").forEach(attach);
document.querySelectorAll("select[data-dials]").forEach(follow);
