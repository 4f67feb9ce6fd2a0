// Paper has no folds. The style sheet opens them where the browser lets it; where
// it does not, they are opened for as long as it prints.
"use strict";
(() => {
  if (CSS.supports("selector(::details-content)")) return;
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("main details:not([open]):not(.labels)")];
    for (const d of opened) d.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const d of opened) d.open = false;
    opened = [];
  });
})();
