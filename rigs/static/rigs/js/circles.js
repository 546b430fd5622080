// Mark the controls of a panel on a photo: press a cap's middle and drag to its edge; drag from one
// end of a fader's slot to the other; tap where a switch points in each position. The fields, in
// per cent of the picture, stay what is sent.
//
// <form data-circles><div data-circles-stage><img><svg data-circles-layer></div>
//   <fieldset data-circle-row data-kind="knob">…<input name="x-…"> <input name="radius-…">

import { filled, gettext } from "../../core/js/language.js";

const SVG = "http://www.w3.org/2000/svg";
const STEP = 0.1; // per cent for an arrow key
const LEAP = 1; // with Shift
const TAP = 6; // pixels that a finger may slip
const USUAL = 2; // per cent of the width: the first circle of somebody who taps
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const within = (value) => Math.min(Math.max(Math.round(value * 100) / 100, 0), 100);
const numbers = (text) => (text || "").split(";").map((part) => part.trim().split(/\s+/).map(Number))
  .filter((pair) => pair.length === 2 && pair.every(Number.isFinite));

function element(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function attach(form) {
  const stage = form.querySelector("[data-circles-stage]");
  const layer = form.querySelector("[data-circles-layer]");
  const [, , width, height] = layer.getAttribute("viewBox").split(" ").map(Number);
  const told = form.querySelector("[data-circles-now]");
  const rows = [...form.querySelectorAll("[data-circle-row]")].map((node) => {
    const field = (name) => node.querySelector(`input[name^="${name}-"]`);
    const row = { node, name: node.dataset.name, isSwitch: node.dataset.kind === "switch" };
    for (const name of ["x", "y", "radius", "endx", "endy", "spots", "setting", "from", "to"]) row[name] = field(name);
    row.fader = Boolean(row.endx && row.endx.value);
    return row;
  });
  let active = null;

  const value = (field) => (field && field.value !== "" ? Number(field.value) : null);
  const px = (x, y) => [(x / 100) * width, (y / 100) * height];
  const set = (field, number) => {
    field.value = number === null ? "" : String(within(number));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const has = (row) => (row.isSwitch ? numbers(row.spots.value).length > 0
    : Boolean(value(row.radius)) || value(row.endx) !== null);

  function shapes(row) {
    if (row.isSwitch) {
      const places = numbers(row.spots.value);
      return places.map(([x, y], at) => {
        const [cx, cy] = px(x, y);
        const mark = element("g", {});
        mark.append(element("circle", { cx, cy, r: width * 0.008, class: "mark-spot" }));
        const label = element("text", { x: cx + width * 0.012, y: cy, class: "mark-number" });
        label.textContent = at + 1;
        label.setAttribute("font-size", width * 0.03);
        mark.append(label);
        return mark;
      });
    }
    if (value(row.x) === null || value(row.y) === null) return [];
    const [x, y] = px(value(row.x), value(row.y));
    if (value(row.endx) !== null && value(row.endy) !== null) {
      const [x2, y2] = px(value(row.endx), value(row.endy));
      return [element("line", { x1: x, y1: y, x2, y2, class: "mark-slot" }),
        element("circle", { cx: x, cy: y, r: width * 0.008, class: "mark-spot" })];
    }
    const r = (value(row.radius) || 0) / 100 * width;
    if (!r) return [];
    return [element("circle", { cx: x, cy: y, r, class: "mark-edge" }),
      element("circle", { cx: x, cy: y, r: width * 0.003, class: "mark-spot" })];
  }

  function show() {
    layer.replaceChildren();
    for (const row of rows) {
      const drawn = shapes(row);
      row.node.querySelector("[data-circle-state]").textContent = has(row) ? gettext("marked") : "";
      row.node.querySelector("[data-circle-pick]").setAttribute("aria-pressed", String(row === active));
      row.node.classList.toggle("is-active", row === active);
      const fader = row.node.querySelector("[data-circle-fader]");
      if (fader) fader.setAttribute("aria-pressed", String(row.fader));
      if (!drawn.length) continue;
      const group = element("g", {
        class: `panel-mark${row === active ? " is-active" : ""}`, tabindex: "0", role: "img",
        "aria-label": filled(gettext("Mark of {name}"), { name: row.name }),
      });
      group.append(...drawn);
      group.addEventListener("focus", () => { if (active !== row) pick(row, false); });
      group.addEventListener("keydown", (event) => key(row, event));
      row.group = group;
      layer.append(group);
    }
    told.textContent = active ? hint(active) : gettext("Every control has its mark.");
  }

  function hint(row) {
    return filled(wanted(row), { name: row.name, position: numbers(row.spots?.value).length + 1 });
  }

  function wanted(row) {
    if (row.isSwitch) return gettext("{name}: tap its position {position}");
    if (row.fader) return gettext("{name}: drag from the low end of its slot to the far end");
    return has(row)
      ? gettext("{name}: drag anew, or set the next")
      : gettext("{name}: press its middle, drag to its edge");
  }

  function pick(row, redraw = true) {
    active = row;
    if (redraw) { show(); return; }
    const had = document.activeElement === row.group;
    show();
    if (had || row.group) row.group?.focus({ preventScroll: true });
  }

  function next() {
    const from = active ? rows.indexOf(active) : -1;
    const order = [...rows.slice(from + 1), ...rows.slice(0, from + 1)];
    active = order.find((row) => !has(row) && !row.isSwitch) || order.find((row) => !has(row)) || active;
    show();
  }

  function key(row, event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? LEAP : STEP;
    const by = ARROWS[event.key];
    const size = { "+": 1, "=": 1, "-": -1, "−": -1 }[event.key];
    if (by) {
      const pairs = [[row.x, row.y], [row.endx, row.endy]];
      if (row.isSwitch) {
        row.spots.value = numbers(row.spots.value)
          .map(([x, y]) => `${within(x + by[0] * far)} ${within(y + by[1] * far)}`).join("; ");
      } else {
        for (const [x, y] of pairs) {
          if (value(x) === null) continue;
          set(x, value(x) + by[0] * far);
          set(y, value(y) + by[1] * far);
        }
      }
    } else if (size && value(row.radius)) {
      set(row.radius, Math.max(value(row.radius) + size * far, 0.1));
    } else return;
    event.preventDefault();
    pick(row, false);
  }

  const at = (event) => {
    const box = layer.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 100];
  };
  const across = (a, b) => Math.hypot(b[0] - a[0], ((b[1] - a[1]) * height) / width);

  let drag = null;
  stage.addEventListener("pointerdown", (event) => {
    if (!active || !event.isPrimary || event.button) return;
    drag = { from: at(event), x: event.clientX, y: event.clientY, far: false };
    stage.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  stage.addEventListener("pointermove", (event) => {
    if (!drag || !active || active.isSwitch) return;
    if (Math.hypot(event.clientX - drag.x, event.clientY - drag.y) > TAP) drag.far = true;
    if (drag.far) draw(active, drag.from, at(event));
  });
  stage.addEventListener("pointerup", (event) => {
    if (!drag || !active) return;
    const { from, far } = drag;
    drag = null;
    if (active.isSwitch) {
      const places = [...numbers(active.spots.value), from.map(within)];
      active.spots.value = places.map((pair) => pair.join(" ")).join("; ");
      active.spots.dispatchEvent(new Event("input", { bubbles: true }));
      show();
    } else if (far) {
      draw(active, from, at(event));
      point(active, from, at(event));
      next();
    } else if (!active.fader) {
      // A tap: the middle, with the size of the last circle, to be made to fit by keys.
      const sizes = rows.map((row) => value(row.radius)).filter(Boolean);
      set(active.x, from[0]);
      set(active.y, from[1]);
      if (!value(active.radius)) set(active.radius, sizes.at(-1) || USUAL);
      propose(active, from);
      pick(active, false);
    }
  });
  stage.addEventListener("pointercancel", () => { drag = null; });

  // What the program proposes; where it cannot be asked, nothing is.
  const ask = (asked) => fetch(`${form.dataset.circles}?${new URLSearchParams(asked)}`)
    .then((got) => (got.ok ? got.json() : {})).catch(() => ({}));

  async function propose(row, [x, y]) {
    const { circle, setting } = await ask({ x, y, ...(asks(row) ? dial(row) : {}) });
    // Moved on meanwhile, it stays as it was set.
    if (!circle || value(row.x) !== within(x) || value(row.y) !== within(y)) return;
    for (const name of ["x", "y", "radius"]) set(row[name], circle[name]);
    stands(row, setting);
    if (active === row) next();
    else show();
  }

  // A drag along the pointer tells how the knob stands.
  async function point(row, from, to) {
    if (!asks(row)) return;
    const [right, down] = [to[0] - from[0], ((to[1] - from[1]) * height) / width];
    const angle = (Math.atan2(right, -down) * 180) / Math.PI;
    stands(row, (await ask({ ...dial(row), angle })).setting);
  }

  const asks = (row) =>
    !row.fader && row.setting && !row.setting.value && "open" in row.node.dataset;
  const dial = (row) =>
    ({ control: row.node.dataset.control, from: row.from?.value || "", to: row.to?.value || "" });

  function stands(row, setting) {
    if (!setting || !row.setting || row.setting.value) return;
    row.setting.value = setting;
    row.setting.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function draw(row, from, to) {
    set(row.x, from[0]);
    set(row.y, from[1]);
    if (row.fader) {
      set(row.endx, to[0]);
      set(row.endy, to[1]);
      set(row.radius, null);
    } else {
      set(row.radius, Math.max(across(from, to), 0.1));
      set(row.endx, null);
      set(row.endy, null);
    }
    show();
  }

  for (const row of rows) {
    row.node.querySelector("[data-circle-tools]").hidden = false;
    row.node.querySelector("[data-circle-pick]").addEventListener("click", () => {
      pick(row);
      stage.scrollIntoView({ block: "nearest" });
    });
    row.node.querySelector("[data-circle-fader]")?.addEventListener("click", () => {
      row.fader = !row.fader;
      pick(row);
    });
    row.node.querySelector("[data-circle-clear]").addEventListener("click", () => {
      for (const name of ["radius", "endx", "endy"]) if (row[name]) set(row[name], null);
      if (row.spots) {
        row.spots.value = "";
        row.spots.dispatchEvent(new Event("input", { bubbles: true }));
      }
      pick(row);
    });
    for (const field of row.node.querySelectorAll("input")) field.addEventListener("change", show);
  }
  form.querySelector("[data-circles-help]").hidden = false;
  form.classList.add("is-ready");
  next();
}

document.querySelectorAll("[data-circles]").forEach(attach);
