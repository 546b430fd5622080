// Put before everything else on each page by the server of the tests: what goes wrong, as the page
// itself notices it, is kept for the tab. So it is heard in the same way in every engine.
(() => {
  const KEPT = "what went wrong";

  function note(words) {
    const all = JSON.parse(sessionStorage.getItem(KEPT) ?? "[]");
    sessionStorage.setItem(KEPT, JSON.stringify([...all, `${location.pathname}: ${words}`]));
  }

  // What is still on its way when a page is left does not come, and need not.
  let isLeft = false;
  addEventListener("beforeunload", () => { isLeft = true; });

  // Without a network a sound does not come, which the page itself says.
  const isSound = (target) => ["AUDIO", "SOURCE"].includes(target.tagName);
  addEventListener("error", ({ target, message }) => {
    if (!(target instanceof Element)) note(message);
    else if (!isLeft && !isSound(target)) note(`${target.tagName} ${target.src || target.href} did not come`);
  }, true);
  addEventListener("unhandledrejection", ({ reason }) => note(`unhandled: ${reason}`));
  addEventListener("securitypolicyviolation", ({ violatedDirective, blockedURI }) =>
    note(`refused by the policy: ${violatedDirective} ${blockedURI}`));
  const say = console.error;
  console.error = (...words) => { note(words.join(" ")); say(...words); };
})();
