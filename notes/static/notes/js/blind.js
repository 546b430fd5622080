// Only one of the sounds plays at a time, and the keys 1, 2 and 3 start them.
//
// <div data-blind><audio …></audio><audio …></audio><audio …></audio></div>

for (const place of document.querySelectorAll("[data-blind]")) {
  const sounds = [...place.querySelectorAll("audio")];
  for (const words of document.querySelectorAll("[data-keys]")) words.hidden = false;

  function only(sound) {
    for (const other of sounds) if (other !== sound) other.pause();
  }

  for (const sound of sounds) sound.addEventListener("play", () => only(sound));
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.matches("input[type=text], textarea")) return;
    const sound = sounds[Number(event.key) - 1];
    if (!sound) return;
    event.preventDefault();
    if (!sound.paused) return sound.pause();
    sound.currentTime = 0;
    sound.play();
  });
}
