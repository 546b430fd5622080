// The newest change by somebody else, stuck to what is in view: where somebody types, the list of
// changes at the top of the page is scrolled away. It is at the top of the view, or below the field
// that has the focus where it would cover it, and never below the keyboard on the screen.
//
// It is not announced: the list at the top is, politely, wherever the page is scrolled.

import { filled, gettext } from "./language.js";

const APART = 8; // px between it and the field

function button(text, className, onClick) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = className;
  made.textContent = text;
  made.addEventListener("click", onClick);
  return made;
}

export class Notice {
  #list; // the section that lists all changes
  #box = document.createElement("aside");
  #words = document.createElement("p");

  constructor(list) {
    this.#list = list;
    this.#box.className = "live-notice";
    this.#box.setAttribute("aria-label", gettext("Changed meanwhile"));
    this.#box.hidden = true;
    this.#box.append(
      this.#words,
      button(gettext("Look"), "button button-quiet", () => this.#goToList()),
      button(gettext("Close"), "button button-quiet", () => this.#hide()),
    );
    list.after(this.#box);
    new IntersectionObserver(([seen]) => seen.isIntersecting && this.#hide()).observe(list);
    const place = () => this.#place();
    document.addEventListener("focusin", place);
    document.addEventListener("scroll", place, { passive: true });
    for (const event of ["resize", "scroll"]) visualViewport?.addEventListener(event, place);
  }

  /** Shows what was told by the stream, unless the list itself is in view. */
  tell({ who, words, more }) {
    const { top, bottom } = this.#list.getBoundingClientRect();
    const view = this.#view();
    if (bottom > view.top && top < view.bottom) return;
    const rest = words.length - 1 + (more || 0);
    const [before, after] = filled(gettext("{who} changed: {what}"), { who: "\0", what: words[0] }).split("\0");
    const name = Object.assign(document.createElement("strong"), { textContent: who });
    const others = rest > 0 ? ` ${filled(gettext("And {n} more."), { n: rest })}` : "";
    this.#words.replaceChildren(before, name, after + others);
    this.#box.hidden = false;
    this.#place();
  }

  #view() {
    const { offsetTop = 0, height = innerHeight } = window.visualViewport ?? {};
    return { top: offsetTop, bottom: offsetTop + height };
  }

  #place() {
    if (this.#box.hidden) return;
    const view = this.#view();
    const { height } = this.#box.getBoundingClientRect();
    const field = document.activeElement?.matches("input, select, textarea") && document.activeElement;
    const { top, bottom } = field ? field.getBoundingClientRect() : { top: Infinity, bottom: Infinity };
    const wouldCover = top < view.top + height + 2 * APART && bottom > view.top;
    const below = Math.min(bottom + APART, view.bottom - height - APART);
    this.#box.style.top = `${wouldCover ? below - APART : view.top}px`;
  }

  #goToList() {
    this.#hide();
    this.#list.scrollIntoView({ block: "center" });
    this.#list.focus({ preventScroll: true });
  }

  #hide() {
    this.#box.hidden = true;
  }
}
