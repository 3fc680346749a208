// Filters. State lives in the fragment ("#show:area=lengths;lines=form"), so that a link carries it; links to
// places on the page leave the filters as they are, and show what they lead to.
"use strict";
(() => {
  const filters = document.getElementById("filters");
  const lines = document.getElementById("lines");
  const findings = [...document.querySelectorAll(".finding")];
  const selects = [...document.querySelectorAll("select[data-filter]")];
  const chooser = document.querySelector("select[data-lines]");
  const count = document.getElementById("count");

  const state = () => {
    const set = new Map(selects.filter((s) => s.value).map((s) => [s.dataset.filter, s.value]));
    if (chooser && chooser.value) set.set("lines", chooser.value);
    return set;
  };
  const apply = () => {
    const set = state();
    for (const item of findings) {
      item.hidden = selects.some((s) => s.value && item.dataset[s.dataset.filter] !== s.value);
    }
    for (const group of document.querySelectorAll(".group")) {
      group.hidden = !group.querySelector(".finding:not([hidden])");
      const fold = group.querySelector(":scope > details");
      if (fold && selects.some((s) => s.value)) fold.open = true;
    }
    if (count) {
      const shown = findings.filter((item) => !item.hidden).length;
      count.textContent = shown < findings.length ? `${shown} of ${findings.length} shown` : "";
    }
    const kind = set.get("lines");
    for (const item of document.querySelectorAll(".lines > li")) {
      item.hidden = Boolean(kind) && !item.dataset.kinds.split(" ").includes(kind);
    }
  };
  const save = () => {
    const text = [...state()].map(([key, value]) => `${key}=${encodeURIComponent(value)}`).join(";");
    history.replaceState(null, "", text ? `#show:${text}` : location.pathname + location.search);
  };
  const choose = (select, value) => {
    select.value = value;
    if (select.selectedIndex < 0) select.value = "";
  };
  const read = () => {
    const set = new Map(location.hash.slice(6).split(";").map((pair) => {
      const [key, value] = pair.split("=");
      try { return [key, decodeURIComponent(value || "")]; } catch { return [key, ""]; }
    }));
    for (const select of selects) choose(select, set.get(select.dataset.filter) || "");
    if (chooser) choose(chooser, set.get("lines") || "");
    apply();
    if (filters && selects.some((select) => select.value)) filters.closest("details").open = true;
  };
  const reveal = () => {
    if (location.hash.startsWith("#show:")) return read();
    const target = document.getElementById(location.hash.slice(1));
    if (!target) return;
    if (target.closest("[hidden]")) {
      for (const select of selects) select.value = "";
      if (chooser) chooser.value = "";
      apply();
    }
    const fold = target.closest("details");
    if (fold && !fold.open) fold.open = true;
    target.scrollIntoView();
  };
  const folds = [...document.querySelectorAll("details")];
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = folds.filter((fold) => !fold.open);
    for (const fold of closed) fold.open = true;
  });
  addEventListener("afterprint", () => { for (const fold of closed) fold.open = false; });
  addEventListener("hashchange", reveal);
  for (const form of [filters, lines]) {
    if (!form) continue;
    (form.closest("details") || form).hidden = false;
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("change", () => { apply(); save(); });
    form.addEventListener("reset", () => setTimeout(() => { apply(); save(); }));
  }
  if (location.hash) reveal();
})();
