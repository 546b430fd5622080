// Parts of a page that come as they are reached. In the place of each stands a section with a link:
//
// <section id="why" data-part="/…/why/"><h2>…</h2><p><a href="/…/why/">Show it</a></p></section>
//
// The page at that address has a section of the same id, which takes its place. Where it cannot be
// had the link stays. What is printed is whole, and so is a page that came from the device's store.

const NEAR = "800px"; // from the edge of what is seen
const left = new Set(document.querySelectorAll("section[data-part]"));
const coming = new Map();

const key = `reached ${location.pathname}`;
const asked = () => location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
let isLed = Boolean(location.hash); // to the anchor, until somebody moves the page themselves

function put(place, html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const part = page.getElementById(place.id);
  if (!part || !left.has(place)) return;
  left.delete(place);
  seen.unobserve(place);
  const isFocused = place.contains(document.activeElement);
  place.replaceChildren(...part.childNodes);
  delete place.dataset.part;
  if (isFocused) {
    place.tabIndex = -1;
    place.focus({ preventScroll: true });
  }
  if (isLed) asked()?.scrollIntoView();
}

async function bring(place) {
  place.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(place.dataset.part, { headers: { Accept: "text/html" } });
    if (answer.ok) put(place, await answer.text());
  } catch {
    // The link is still there.
  } finally {
    place.removeAttribute("aria-busy");
    coming.delete(place);
  }
}

function get(place) {
  if (!coming.has(place)) coming.set(place, bring(place));
  return coming.get(place);
}

const getAll = () => Promise.all([...left].map(get));

// Printing waits for nothing but this.
function getForPaper() {
  for (const place of left) {
    const request = new XMLHttpRequest();
    request.open("GET", place.dataset.part, false);
    request.setRequestHeader("Accept", "text/html");
    try {
      request.send();
      if (request.status === 200) put(place, request.responseText);
    } catch {
      // Paper has the link.
    }
  }
}

const seen = new IntersectionObserver(
  (entries) => entries.forEach(({ isIntersecting, target }) => isIntersecting && get(target)),
  { rootMargin: NEAR },
);

// Whoever comes back finds the page as long as it was, and stands where they were.
function comeBack() {
  const [how] = performance.getEntriesByType("navigation");
  const y = Number(sessionStorage.getItem(key));
  if (how?.type === "navigate" || !y) return;
  isLed = false;
  getAll().then(() => window.scrollTo(0, y));
}

if (left.size) {
  for (const place of left) seen.observe(place);
  for (const event of ["wheel", "touchmove", "keydown", "pointerdown"]) {
    window.addEventListener(event, () => { isLed = false; }, { passive: true, once: true });
  }
  window.addEventListener("beforeprint", getForPaper);
  window.addEventListener("online", () => left.forEach((place) => { seen.unobserve(place); seen.observe(place); }));
  window.addEventListener("pagehide", () => sessionStorage.setItem(key, left.size ? "" : String(window.scrollY)));
  const isKept = document.documentElement.hasAttribute("data-from-store");
  if (isKept || (location.hash && !asked())) getAll().then(() => isLed && asked()?.scrollIntoView());
  else comeBack();
}
