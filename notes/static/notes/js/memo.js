// Records a voice memo in the page and puts it into the form's own field of a file, so that it is
// sent, waits and comes back as any other file. Where the browser cannot record, the field stays.
//
// <input type="file" id="id_memo">
// <div data-memo="id_memo" data-longest-s="300" hidden>
//   <button data-record><span data-record-words>…</span></button> <span data-recorded hidden></span>
//   <audio data-play hidden></audio> <button data-drop hidden>…</button> <p data-said></p></div>

import { gettext } from "../../core/js/language.js";

const TYPES = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"];
const BITS = 32000; // a second of speech: 4 kB
const NO_MICROPHONE = gettext(
  "The microphone was not given to this page. Allow it in the browser, or choose a file.",
);

const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
const canRecord = () => Boolean(navigator.mediaDevices?.getUserMedia && window.MediaRecorder);

class Recorder {
  constructor(place) {
    this.place = place;
    this.input = document.getElementById(place.dataset.memo);
    this.field = this.input.closest(".field");
    const part = (name) => place.querySelector(`[data-${name}]`);
    [this.button, this.words, this.time, this.player, this.drop, this.said] =
      ["record", "record-words", "recorded", "play", "drop", "said"].map(part);
    this.invitation = this.words.textContent;
    this.button.addEventListener("click", () => (this.recorder ? this.stop() : this.start()));
    this.drop.addEventListener("click", () => this.discard());
    this.input.addEventListener("change", () => this.show());
    // A form that is sent while it records takes along what there is so far.
    this.input.form.addEventListener("submit", (event) => this.sendOnceStopped(event), { capture: true });
    place.hidden = false;
    this.field.hidden = !this.field.classList.contains("has-error");
    this.show();
  }

  async start() {
    this.said.textContent = "";
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    } catch {
      this.said.textContent = NO_MICROPHONE;
      this.field.hidden = false;
      return;
    }
    const mimeType = TYPES.find((type) => MediaRecorder.isTypeSupported(type));
    const recorder = new MediaRecorder(stream, { ...(mimeType && { mimeType }), audioBitsPerSecond: BITS });
    const parts = [];
    recorder.addEventListener("dataavailable", ({ data }) => data.size && parts.push(data));
    this.ended = new Promise((resolve) => {
      recorder.addEventListener("stop", () => {
        for (const track of stream.getTracks()) track.stop();
        this.recorder = null;
        clearInterval(this.ticking);
        if (parts.length) this.take(new Blob(parts, { type: recorder.mimeType }));
        this.show();
        resolve();
      });
    });
    this.recorder = recorder;
    this.began = performance.now();
    recorder.start(1000);
    this.ticking = setInterval(() => this.tick(), 250);
    this.show();
  }

  tick() {
    const seconds = (performance.now() - this.began) / 1000;
    this.time.textContent = clock(seconds);
    if (seconds >= Number(this.place.dataset.longestS) - 1) this.stop();
  }

  stop() {
    if (this.recorder?.state !== "inactive") this.recorder?.stop();
    return this.ended;
  }

  take(blob) {
    const ending = { "audio/webm": "webm", "audio/mp4": "m4a", "audio/ogg": "ogg" }[blob.type.split(";")[0]] ?? "webm";
    const length = clock((performance.now() - this.began) / 1000).replace(":", " min ");
    const files = new DataTransfer();
    files.items.add(new File([blob], `Voice memo, ${length} s.${ending}`, { type: blob.type }));
    this.input.files = files.files;
    // For whoever listens to what is typed: the guard, and the draft.
    this.input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  discard() {
    this.input.value = "";
    this.input.dispatchEvent(new Event("input", { bubbles: true }));
    this.said.textContent = gettext("The memo is discarded.");
    this.show();
    this.button.focus();
  }

  show() {
    const [file] = this.input.files;
    const isRecording = Boolean(this.recorder);
    this.place.classList.toggle("is-recording", isRecording);
    const offered = file ? gettext("Record it again") : this.invitation;
    this.words.textContent = isRecording ? gettext("Stop recording") : offered;
    this.time.hidden = !isRecording;
    this.player.hidden = this.drop.hidden = isRecording || !file;
    if (this.player.src) URL.revokeObjectURL(this.player.src);
    if (file && !isRecording) this.player.src = URL.createObjectURL(file);
    else this.player.removeAttribute("src");
  }

  sendOnceStopped(event) {
    if (!this.recorder) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const { submitter, target: form } = event;
    this.stop().then(() => form.requestSubmit(submitter));
  }
}

if (canRecord()) for (const place of document.querySelectorAll("[data-memo]")) new Recorder(place);
