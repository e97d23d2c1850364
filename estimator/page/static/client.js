// The client's quote: ticked options change the total and what is accepted; a signature is drawn or typed.
const form = document.getElementById("accept");

if (form) {
  const view = JSON.parse(form.dataset.choices);
  const boxes = [...document.querySelectorAll("[data-option]")];
  const choice = form.elements.choice, signature = form.elements.signature, typed = form.elements.typed;

  function chosen() {
    const alone = boxes.find((box) => box.checked && box.dataset.alone);
    return alone ? alone.dataset.option : boxes.filter((box) => box.checked).map((box) => box.dataset.option).join("-");
  }
  boxes.forEach((box) => box.addEventListener("change", () => {
    if (box.checked) boxes.forEach((other) => { if (other !== box && (box.dataset.alone || other.dataset.alone)) other.checked = false; });
    choice.value = chosen();
    document.querySelectorAll("[data-total]").forEach((place) => { place.textContent = view.totals[choice.value]; });
    const put = (tag, ...parts) => {
      const element = document.createElement(tag);
      element.append(...parts);
      return element;
    };
    const row = (tag, label, amount) => {
      const element = put(tag, put("span", ...label), put("b", amount));
      element.className = "kv";
      return element;
    };
    const sum = ([label, amount]) => row("p", [label], amount);
    const payment = ([step, due, share, amount]) =>
      row("li", [put("b", step), " ", put("small", [due, share].filter(Boolean).join(", "))], amount);
    const sums = view.sums[choice.value], payments = view.payments[choice.value];
    if (sums) document.getElementById("sums").replaceChildren(...sums.map(sum));
    if (payments) document.querySelector(".payments").replaceChildren(...payments.map(payment));
    document.getElementById("accept-line").textContent = view.acceptance[choice.value];
  }));

  const pad = document.getElementById("pad"), line = document.getElementById("pad-line");
  let drawing = false;
  const at = (event) => {
    const box = pad.getBoundingClientRect();
    return `${((event.clientX - box.left) * 300 / box.width).toFixed(1)} ${((event.clientY - box.top) * 90 / box.height).toFixed(1)}`;
  };
  const show = () => line.setAttribute("d", signature.value || "M0 0");
  pad.addEventListener("pointerdown", (event) => { drawing = true; pad.setPointerCapture(event.pointerId); signature.value += `M${at(event)}`; typed.checked = false; });
  pad.addEventListener("pointermove", (event) => { if (drawing && signature.value.length < 19000) { signature.value += `L${at(event)}`; show(); } });
  pad.addEventListener("pointerup", () => { drawing = false; show(); });
  document.getElementById("clear").addEventListener("click", () => { signature.value = ""; show(); });
  document.getElementById("draw").hidden = false;
}
