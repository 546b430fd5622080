// Two photos: side by side, or the later over the earlier with an edge that is moved.
//
// <div data-beside> <div data-beside-ways hidden><button data-way="over">…
//   <div data-over hidden><div data-over-frame>…</div><input type="range" data-over-range></div>

function attach(root) {
  const ways = root.querySelector("[data-beside-ways]");
  const over = root.querySelector("[data-over]");
  const frame = root.querySelector("[data-over-frame]");
  const range = root.querySelector("[data-over-range]");
  const [later, edge] = [frame.querySelector(".over-2"), frame.querySelector(".over-edge")];

  function show() {
    later.style.clipPath = `inset(0 0 0 ${range.value}%)`;
    edge.style.insetInlineStart = `${range.value}%`;
    range.setAttribute("aria-valuetext", `${range.value} % of the width shows the earlier photo`);
  }

  function look(way) {
    over.hidden = way !== "over";
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
  ways.hidden = false;
  show();
}

document.querySelectorAll("[data-beside]").forEach(attach);
