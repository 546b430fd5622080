// The controls of clips heard side by side: buttons, keys, position and loop over in-step.js.
//
// <section data-side-by-side data-seconds="6.2">
//   <div data-controls hidden>… [data-pick] [data-play] [data-position] [data-loop] …</div>
//   <div data-plain>… <audio controls> …</div>
// </section>

import { filled, gettext, language, number } from "../../core/js/language.js";
import { InStep } from "./in-step.js";

const STEP = 1; // seconds, by arrow key

function attach(root) {
  const one = (name) => root.querySelector(`[data-${name}]`);
  // What mixes sounds is missing: the players that are there without scripts stay, matched.
  if (!window.AudioContext || !window.AudioBufferSourceNode || !window.GainNode) return;
  const picks = [...root.querySelectorAll("[data-pick]")];
  const sounds = picks.map(({ dataset }) => ({
    url: dataset.url, full: dataset.full, gain: Number(dataset.gain), lead: Number(dataset.lead),
  }));
  const player = new InStep(sounds, Number(root.dataset.seconds));
  const [play, position, at] = [one("play"), one("position"), one("at")];
  const [loop, from, to, quality, said] = ["loop", "from", "to", "quality", "said"].map(one);
  const gainWords = [...root.querySelectorAll("[data-gain-words]")];
  // The gains that the page came with, and the part that they are for.
  const given = { from: Number(root.dataset.readFrom), to: Number(root.dataset.readTo) };
  given.sides = picks.map(({ dataset }) => ({ gain: Number(dataset.gain), words: dataset.words }));
  let asked = 0;
  const heads = [...root.querySelectorAll("[data-wave]")].map(playhead);
  let ready = false;
  let busy = false;

  root.player = player;
  one("plain").hidden = true;
  one("controls").hidden = false;

  const say = (words) => {
    said.textContent = words;
  };

  // Nothing is fetched before somebody asks to hear it.
  async function loaded() {
    if (ready) return true;
    if (busy) return false;
    busy = true;
    root.dataset.state = "loading";
    say(gettext("The sounds are being fetched …"));
    try {
      await player.load();
      ready = true;
      say("");
    } catch (error) {
      oneByOne(error);
    }
    busy = false;
    return ready;
  }

  // What an older engine has by name and cannot make shows only when it is to play.
  function oneByOne(error) {
    root.dataset.state = "failed";
    one("plain").hidden = false;
    say(filled(
      gettext("These sounds cannot be played here. {why} Below they can be played one by one."),
      { why: error.message },
    ));
  }

  async function toggle() {
    if (player.playing) player.pause();
    else if (await loaded()) await player.play().catch(oneByOne);
  }

  function pick(number) {
    if (!picks[number]) return;
    player.pick(number);
    say(filled(gettext("{letter} is heard, {words}."), picks[number].dataset));
  }

  function setLoop(on) {
    const region = [seconds(from), seconds(to)];
    if (on && !player.loop([Math.max(0, region[0]), Math.min(player.seconds, region[1])])) {
      say(gettext("A section to loop is at least 0.1 s long and ends after it begins."));
      return;
    }
    if (!on) player.loop(null);
    const [start, end] = (player.region ?? []).map(shown);
    match(on ? filled(gettext("Looping {from} to {to} s."), { from: start, to: end }) : gettext("Not looping."));
  }

  // Equally loud over exactly what is played: the service measures the part that is looped. What
  // was right for another part may be far too loud for this one, so until there is an answer, and
  // where there is none, nothing is played louder than before or than it was recorded.
  async function match(words) {
    const mine = ++asked;
    const [start, end] = player.region ?? [0, player.seconds];
    if (near(start, given.from) && near(end, given.to)) {
      use(given.sides);
      say(words);
      return;
    }
    use(cautious());
    say(`${words} ${gettext("Its loudness is being matched. Until then none is played louder than it was recorded: do not judge by how loud they are.")}`);
    const { sides, refused } = await gainsOf(start, end);
    if (mine !== asked) return;
    if (sides) use(sides);
    say(`${words} ${sides ? gettext("Equally loud over just that.") : unmatched(refused)}`);
  }

  const unmatched = (why) => filled(
    gettext("{why} So none is played louder than it was recorded: do not judge by how loud they are."), { why },
  );

  function cautious() {
    return player.sounds.map(({ gain }, number) => ({
      gain: Math.min(gain, given.sides[number].gain, 0), words: gettext("not matched to this part"),
    }));
  }

  // The sides with a gain for each, or in words why there are none.
  async function gainsOf(start, end) {
    try {
      const answer = await fetch(`${root.dataset.gains}&from=${start}&to=${end}`, {
        credentials: "same-origin", headers: { Accept: "application/json" },
      });
      if (!answer.ok) throw new Error(String(answer.status));
      const found = await answer.json();
      const whole = found.sides?.length === picks.length
        && found.sides.every(({ gain }) => Number.isFinite(gain));
      if (!whole && !found.refused) throw new Error("Neither gains nor a reason.");
      return whole ? { sides: found.sides } : { refused: found.refused };
    } catch {
      return { refused: gettext("The service does not answer, so this part is not matched.") };
    }
  }

  function use(sides) {
    player.match(sides.map(({ gain }) => gain));
    sides.forEach(({ words }, number) => {
      picks[number].dataset.words = words;
      gainWords[number].textContent = words;
    });
  }

  function mark(field) {
    field.value = shown(player.position);
    if (player.region) setLoop(true);
  }

  async function swapCopies() {
    if (!(await loaded())) return;
    say(gettext("The sounds are being fetched at full quality …"));
    try {
      await player.useFull(!player.full);
      say(player.full ? gettext("Now at full quality.") : gettext("Now the small copies."));
    } catch (error) {
      say(filled(gettext("Full quality cannot be played here. {why}"), { why: error.message }));
    }
  }

  function show() {
    root.dataset.state = player.playing ? "playing" : ready ? "paused" : "idle";
    root.dataset.heard = player.heard;
    picks.forEach((button, number) =>
      button.setAttribute("aria-pressed", String(number === player.heard)));
    play.querySelector("[data-when=playing]").hidden = !player.playing;
    play.querySelector("[data-when=paused]").hidden = player.playing;
    loop.setAttribute("aria-pressed", String(player.region !== null));
    quality.setAttribute("aria-pressed", String(player.full));
    move();
  }

  function move() {
    const now = player.position;
    position.value = now;
    position.setAttribute("aria-valuetext", filled(gettext("{at} s of {all} s"), { at: shown(now), all: shown(player.seconds) }));
    at.textContent = number(now, 1);
    for (const head of heads) head.style.left = `${(now / player.seconds) * 100}%`;
    if (player.playing) requestAnimationFrame(move);
  }

  function playhead(wave) {
    const head = document.createElement("span");
    head.className = "wave-head";
    wave.append(head);
    wave.addEventListener("click", (event) => {
      const { left, width } = wave.getBoundingClientRect();
      player.seek(((event.clientX - left) / width) * player.seconds);
      position.focus();
    });
    return head;
  }

  const keys = {
    ArrowLeft: () => player.seek(player.position - STEP),
    ArrowRight: () => player.seek(player.position + STEP),
    Home: () => player.seek(0),
    f: () => mark(from),
    t: () => mark(to),
    l: () => setLoop(!player.region),
    " ": toggle,
  };
  for (let number = 0; number < picks.length; number += 1) {
    keys[number + 1] = () => pick(number);
  }

  // Only while something in here has the focus, so that no key is taken from the rest of the page.
  root.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { target, key } = event;
    if (target.matches("input:not([type=range]), summary, a")) return;
    // A button answers to the space bar itself, but for one that is pressed in already.
    if (key === " " && target.matches("button:not([data-pick][aria-pressed=true])")) return;
    if (!keys[key]) return;
    event.preventDefault();
    keys[key]();
  });
  picks.forEach((button, number) => button.addEventListener("click", () => pick(number)));
  play.addEventListener("click", toggle);
  position.addEventListener("input", () => player.seek(Number(position.value)));
  loop.addEventListener("click", () => setLoop(!player.region));
  one("mark-from").addEventListener("click", () => mark(from));
  one("mark-to").addEventListener("click", () => mark(to));
  for (const field of [from, to]) {
    field.addEventListener("change", () => player.region && setLoop(true));
  }
  quality.addEventListener("click", swapCopies);
  one("read").addEventListener("click", (event) => {
    const link = event.currentTarget;
    link.href = `${link.dataset.read}&from=${seconds(from)}&to=${seconds(to)}`;
  });
  if ("part" in root.dataset) setLoop(true);
  player.addEventListener("change", show);
  show();
}

function seconds(field) {
  return Number(field.value.replace(",", "."));
}

function near(one, other) {
  return Math.abs(one - other) < 0.005;
}

// For the eye; what fields hold is `tidy`.
function shown(value) {
  return value.toLocaleString(language, { maximumFractionDigits: 2, useGrouping: false });
}

function tidy(value) {
  return String(Math.round(value * 100) / 100);
}

for (const root of document.querySelectorAll("[data-side-by-side]")) attach(root);
