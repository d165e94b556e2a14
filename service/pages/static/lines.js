// Under the lines of a price: what they come to while one types. Without this script a button adds
// them up. Amounts are whole cents here, so that the sum is exact.
(() => {
  "use strict";

  const form = document.querySelector("form.price-lines");
  const sum = document.getElementById("sum");
  // Tax and deposit of the sum as it was worked out; of another one they are asked for by the button.
  const about = document.getElementById("of-sum");
  const { textContent: worked } = sum;
  const money = new Intl.NumberFormat("en-US", { style: "currency", currency: form.dataset.currency });
  const AMOUNT = /^(-?)\s*\$?\s*(\d{1,3}(?:,\d{3})*|\d+)(?:\.(\d{1,2}))?$/;

  const cents = (text) => {
    const written = AMOUNT.exec(text.trim().replace("\u2212", "-"));
    if (!written) return 0;
    const whole = Number(written[2].replaceAll(",", "")) * 100;
    const value = whole + Number((written[3] || "").padEnd(2, "0"));
    return written[1] ? -value : value;
  };

  const add = () => {
    let total = 0;
    for (const line of form.querySelectorAll(".price-line")) {
      const out = line.querySelector("[type=checkbox]");
      if (!out || !out.checked) total += cents(line.querySelector("[name$='-amount']").value);
    }
    sum.textContent = money.format(total / 100);
    about.hidden = sum.textContent !== worked;
  };

  form.addEventListener("input", add);
  add();
})();
