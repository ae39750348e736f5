"use strict";
(function () {
  var find = function (s, e) { return Array.prototype.slice.call((e || document).querySelectorAll(s)); };
  function reveal() {
    var id = decodeURIComponent(location.hash.slice(1));
    var target = id && document.getElementById(id);
    if (!target) return;
    for (var e = target; e; e = e.parentElement) {
      if (e.tagName === "DETAILS") e.open = true;
      if (e.hidden) e.hidden = false;
    }
    target.scrollIntoView();
    var focus = target.tagName === "DETAILS" ? target.querySelector("summary") : target;
    if (focus !== target || target.tabIndex >= 0) focus.focus({ preventScroll: true });
  }
  var forms = find(".filter").map(function (form) {
    var section = form.closest("section");
    var rows = find(".list tbody tr", section);
    var details = find("details.cue", section);
    var count = section.querySelector(".count");
    var field = function (name) { return form.elements.namedItem(name); };
    var waiting = 0;
    function apply() {
      waiting = 0;
      var words = field("q").value.toLowerCase().split(/\s+/).filter(Boolean);
      var v = field("v").value, b = field("b").value, s = field("s").value, c = field("c").value;
      var shown = 0;
      rows.forEach(function (row, n) {
        var d = row.dataset;
        var hit = (!v || d.v === v) && (!b || d.b === b) && (!s || d.s === s) &&
          (!c || (" " + d.c + " ").indexOf(" " + c + " ") >= 0) &&
          words.every(function (word) { return d.t.indexOf(word) >= 0; });
        if (row.hidden === hit) row.hidden = !hit;
        if (details[n].hidden === hit) details[n].hidden = !hit;
        if (hit) shown += 1;
      });
      var all = rows.length;
      count.textContent = (shown === all ? all : shown + " of " + all) + (all === 1 ? " cue" : " cues");
    }
    function soon() { if (!waiting) waiting = requestAnimationFrame(apply); }
    form.hidden = false;
    form.addEventListener("input", soon);
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    form.addEventListener("reset", function () { setTimeout(apply, 0); });
    form.addEventListener("click", function (event) {
      var open = event.target.dataset && event.target.dataset.open;
      if (open === undefined) return;
      details.forEach(function (d) { if (!d.hidden || !open) d.open = !!open; });
    });
    apply();
    return { form: form, search: field("q"), section: section };
  });
  function nearest() {
    var middle = innerHeight / 2;
    return forms.filter(function (f) {
      var r = f.section.getBoundingClientRect();
      return r.top < middle && r.bottom > middle;
    })[0] || forms[0];
  }
  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !forms.length) return;
    var typing = /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName);
    if (event.key === "/" && !typing) {
      event.preventDefault();
      nearest().search.focus();
    } else if (event.key === "Escape") {
      var f = forms.filter(function (g) { return g.form.contains(event.target); })[0] || nearest();
      f.form.reset();
    }
  });
  var opened = [];
  addEventListener("beforeprint", function () {
    opened = find("details.inprint:not([open])");
    opened.forEach(function (d) { d.open = true; });
  });
  addEventListener("afterprint", function () {
    opened.forEach(function (d) { d.open = false; });
  });
  addEventListener("hashchange", reveal);
  reveal();
})();
