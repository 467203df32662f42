/* The amount a group gets, moved by hand: the numbers beside it follow in proportion. What is the
   most was worked out by the office; this script stops there and decides nothing. */
"use strict";

for (const form of document.querySelectorAll("[data-amount]")) {
  const typed = form.elements.amount;
  const range = form.querySelector("[data-range]");
  const follow = (value) => {
    const now = Math.min(Math.max(Number(value) || 0, 0), Number(range.max));
    const share = form.querySelector("[data-of=share]");
    const bales = form.querySelector("[data-of=bales]");
    share.textContent = Math.round(now * Number(form.dataset.share));
    if (bales) bales.textContent = (now * Number(form.dataset.bales)).toFixed(1);
    return now;
  };
  range.hidden = false;
  form.querySelector("[data-show]").hidden = true;
  range.addEventListener("input", () => { typed.value = follow(range.value); });
  typed.addEventListener("change", () => { typed.value = range.value = follow(typed.value); });
}
