"use strict";
// Parts that are pointed at, and the search. Without this script the page is whole, only still.
(() => {
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const parts = all(".part");
  const jobsOf = (part) => part.dataset.jobs.split(" ");
  let kept = null;

  // Shows the part's orders wherever they are, and says what the part is.
  const show = (part) => {
    const jobs = part ? jobsOf(part) : [];
    document.body.classList.toggle("showing", jobs.length > 0);
    for (const each of parts) each.classList.toggle("lit", jobsOf(each).some((job) => jobs.includes(job)));
    for (const line of all(".say")) {
      const own = part && part.closest(".view") === line.closest(".view");
      line.textContent = own ? part.getAttribute("aria-label") : "";
    }
  };
  const keep = (part) => {
    if (kept) kept.setAttribute("aria-pressed", "false");
    kept = kept === part ? null : part;
    if (kept) kept.setAttribute("aria-pressed", "true");
    show(kept);
  };

  for (const view of all(".view")) {
    const drawing = view.querySelector("svg");
    drawing.setAttribute("role", "group");
    // One stop of the Tab key for each drawing; the arrow keys go on from part to part.
    const drawn = all(".part", drawing);
    for (const part of all(".part", view)) {
      const title = part.querySelector("title");
      part.setAttribute("aria-label", title ? title.textContent : part.textContent);
      if (title) title.remove();
      part.setAttribute("role", "button");
      part.setAttribute("aria-pressed", "false");
      part.setAttribute("tabindex", drawn.includes(part) && part !== drawn[0] ? "-1" : "0");
      part.addEventListener("pointerenter", () => show(part));
      part.addEventListener("pointerleave", () => show(kept));
      part.addEventListener("focus", () => show(part));
      part.addEventListener("blur", () => show(kept));
      part.addEventListener("click", () => keep(part));
      part.addEventListener("keydown", (event) => {
        const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
        const next = step && drawn.includes(part) && drawn[drawn.indexOf(part) + step];
        if (event.key === "Enter" || event.key === " ") keep(part);
        else if (event.key === "Escape") keep(kept);
        else if (next) {
          part.setAttribute("tabindex", "-1");
          next.setAttribute("tabindex", "0");
          next.focus();
        } else if (!step) return;
        event.preventDefault();
      });
    }
  }

  // Paper shows what is folded away, too.
  addEventListener("beforeprint", () => all("details").forEach((fold) => { fold.open = true; }));

  const field = document.getElementById("find");
  if (!field) return;
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const found = all("[data-find]").map((item) => [item, plain(`${item.dataset.find} ${item.textContent}`)]);
  const orders = found.filter(([item]) => item.localName === "tr");
  const search = () => {
    const wanted = plain(field.value).split(/\s+/).filter(Boolean);
    for (const [item, text] of found) item.hidden = !wanted.every((word) => text.includes(word));
    for (const list of all("h3 + ul")) list.previousElementSibling.hidden = !list.querySelector("li:not([hidden])");
    const shown = orders.filter(([item]) => !item.hidden).map(([item]) => item.dataset.find);
    for (const part of parts) part.classList.toggle("away", !jobsOf(part).some((job) => shown.includes(job)));
    const told = field.nextElementSibling;
    told.textContent = wanted.length
      ? told.dataset.count.replace("{shown}", shown.length).replace("{all}", orders.length)
      : "";
  };
  field.parentElement.hidden = false;
  field.addEventListener("input", search);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { field.value = ""; search(); }
  });
})();
