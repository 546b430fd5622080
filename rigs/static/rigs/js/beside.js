// Two photos: side by side, or the later over the earlier with an edge that is moved.
//
// <div data-beside> <div data-beside-ways hidden><button data-way="over">…
//   <div data-over hidden><div data-over-frame>…</div><input type="range" data-over-range></div>
//
// With data-plane="nine numbers" on the frame, the later one is laid so that what both show is at
// the same place: the numbers lead from places of the earlier (fractions of its width and height) to
// those of the later. Or data-plane-at="where they are told".

import { filled, gettext } from "../../core/js/language.js";

function laid(plane, width, height) {
  const [a, b, c, d, e, f, g, h, i] = plane;
  const back = [
    e * i - f * h, c * h - b * i, b * f - c * e,
    f * g - d * i, a * i - c * g, c * d - a * f,
    d * h - e * g, b * g - a * h, a * e - b * d,
  ];
  const [p, q, r, s, t, u, v, w, z] = back.map((n) => n / back[8]);
  // From pixels of the frame to pixels of the frame, columns first (CSS Transforms Module Level 2).
  return `matrix3d(${[
    p, (s * height) / width, 0, v / width,
    (q * width) / height, t, 0, w / height,
    0, 0, 1, 0,
    r * width, u * height, 0, z,
  ].join(",")})`;
}

function attach(root) {
  const ways = root.querySelector("[data-beside-ways]");
  const over = root.querySelector("[data-over]");
  const frame = root.querySelector("[data-over-frame]");
  const range = root.querySelector("[data-over-range]");
  const [later, edge] = [frame.querySelector(".over-2"), frame.querySelector(".over-edge")];

  let plane = (frame.dataset.plane || "").split(" ").filter(Boolean).map(Number);
  const moved = later.querySelector("img");
  const state = root.querySelector("[data-over-state]");

  // Asked for when it is wanted: it takes the server a second.
  async function ask() {
    const from = frame.dataset.planeAt;
    if (!from) return;
    delete frame.dataset.planeAt;
    state.textContent = gettext("Laying one on the other …");
    const answer = await fetch(from).then((got) => (got.ok ? got.json() : {})).catch(() => ({}));
    plane = answer.plane || [];
    if (plane.length === 9) frame.dataset.plane = plane.join(" ");
    state.textContent = plane.length === 9 ? gettext("What both show is at the same place.")
      : gettext("The two are laid on each other as they are: they do not show enough of the same.");
    fit();
  }

  function fit() {
    if (plane.length !== 9 || !moved || !frame.clientWidth) return;
    moved.style.transform = laid(plane, frame.clientWidth, frame.clientHeight);
  }

  function show() {
    later.style.clipPath = `inset(0 0 0 ${range.value}%)`;
    edge.style.insetInlineStart = `${range.value}%`;
    range.setAttribute("aria-valuetext", filled(gettext("{part} % of the width shows the earlier photo"), { part: range.value }));
  }

  function look(way) {
    over.hidden = way !== "over";
    if (way === "over") ask();
    fit();
    root.querySelector(".beside-two").hidden = way === "over";
    for (const button of ways.querySelectorAll("[data-way]")) {
      button.setAttribute("aria-pressed", String(button.dataset.way === way));
    }
  }

  function follow(event) {
    const box = frame.getBoundingClientRect();
    range.value = String(Math.round(((event.clientX - box.left) / box.width) * 100));
    show();
  }

  ways.addEventListener("click", (event) => {
    const button = event.target.closest("[data-way]");
    if (button) look(button.dataset.way);
  });
  frame.addEventListener("pointerdown", (event) => {
    frame.setPointerCapture(event.pointerId);
    follow(event);
  });
  frame.addEventListener("pointermove", (event) => {
    if (frame.hasPointerCapture(event.pointerId)) follow(event);
  });
  range.addEventListener("input", show);
  new ResizeObserver(fit).observe(frame);
  ways.hidden = false;
  show();
}

document.querySelectorAll("[data-beside]").forEach(attach);
