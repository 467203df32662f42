/* The amount one animal gets, moved by hand: the numbers beside it follow in proportion. The most,
   and what goes with a unit of weight, were worked out by the office; this script multiplies, stops
   at the most, and decides nothing. */
"use strict";

for (const form of document.querySelectorAll("[data-amount]")) {
  const typed = form.elements.amount;
  const range = form.querySelector("[data-range]");
  const given = form.querySelector("[data-given]");
  const most = Number(form.dataset.most);
  const said = (value, digits) => new Intl.NumberFormat("en-US", {
    minimumFractionDigits: digits, maximumFractionDigits: digits,
  }).format(value);
  const follow = (asked) => {
    const now = Math.min(Math.max(Number(asked) || 0, 0), most);
    form.querySelector("[data-of=amount]").textContent = said(now, 1);
    for (const one of form.querySelectorAll("[data-per]")) {
      one.textContent = said(now * Number(one.dataset.per), Number(one.dataset.digits));
    }
    given.setAttribute("width", (1000 * now) / Number(range.max));
    range.value = now;
    return now;
  };
  range.hidden = false;
  range.addEventListener("input", () => { typed.value = follow(range.value); });
  typed.addEventListener("change", () => { typed.value = follow(typed.value); });
}
