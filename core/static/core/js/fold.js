// A link to a folded section opens it, and so does one into it in engines that do not by themselves.

const open = () => {
  const target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!target) return;
  const closed = [];
  for (let each = target.closest("details"); each; each = each.parentElement?.closest("details")) {
    if (!each.open) closed.push(each);
  }
  if (!closed.length) return;
  for (const each of closed) each.open = true;
  target.scrollIntoView();
};

window.addEventListener("hashchange", open);
// The same link once more changes no address.
document.addEventListener("click", (event) => {
  const link = event.target.closest?.('a[href^="#"]');
  if (link && link.hash === location.hash) open();
});
open();
