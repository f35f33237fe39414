/* Follows the news of the page: reloads it when it is another, swaps a stylesheet, shows what is wrong over it. */
(function () {
  "use strict";
  var told = document.currentScript.dataset, root = location.origin + "/", scroll = "preview scroll " + location.pathname;
  var panel = null, note = null, folded = false, shown = "";

  function keep(value) { try { sessionStorage.setItem(scroll, value); } catch (e) { /* a locked-down browser */ } }
  function recall() {
    try { var found = sessionStorage.getItem(scroll); sessionStorage.removeItem(scroll); return found; } catch (e) { return null; }
  }

  var place = recall();
  if (place) {
    history.scrollRestoration = "manual";
    var at = place.split(" ").map(Number), back = function () { window.scrollTo({left: at[0], top: at[1], behavior: "instant"}); };
    back();
    addEventListener("load", back);
  }

  function reload() {
    keep(window.scrollX + " " + window.scrollY);
    location.reload();
  }

  function uses(selector, attribute, file) {
    return Array.prototype.filter.call(document.querySelectorAll(selector), function (element) {
      return element[attribute].split(/[?#]/)[0] === root + file;
    });
  }

  function swap(link, serial) {
    var next = link.cloneNode();
    next.href = link.href.split("?")[0] + "?" + serial;
    next.addEventListener("load", function () { link.remove(); });  // so that the page is never without a style
    link.after(next);
  }

  function element(name, text, className) {
    var made = document.createElement(name);
    if (text) { made.textContent = text; }
    if (className) { made.className = className; }
    return made;
  }

  var style =
    ":host{all:initial;position:fixed;z-index:2147483647;left:0;right:0;bottom:0;font:16px/1.45 system-ui,sans-serif;color-scheme:light dark}" +
    "section{background:light-dark(#fdf6e9,#2b2118);color:light-dark(#2b1d10,#f3e6d3);border-top:4px solid light-dark(#a8321a,#f08a6c);" +
    "max-height:55vh;overflow:auto;padding:.75rem 1rem 1rem;box-shadow:0 -4px 18px rgb(0 0 0 / .3)}" +
    "header{display:flex;gap:1rem;align-items:baseline;justify-content:space-between}h2{font-size:1.05rem;margin:0}" +
    "button{font:inherit;min-height:44px;padding:0 .9rem;white-space:nowrap;color:inherit;background:none;border:1px solid currentColor;border-radius:4px;cursor:pointer}" +
    "ol{margin:.5rem 0 0;padding:0;list-style:none}li{padding:.6rem 0;border-top:1px solid color-mix(in srgb,currentColor 25%,transparent)}" +
    "p{margin:.15rem 0;max-width:70ch}.place{font-weight:600;overflow-wrap:anywhere}.remedy::before{content:'\\2192\\00a0'}" +
    "pre{margin:.4rem 0;padding:.4rem .6rem;overflow-x:auto;background:color-mix(in srgb,currentColor 8%,transparent);font:14px/1.5 ui-monospace,monospace}" +
    "mark{background:light-dark(#f6cfc2,#6a2a1a);color:inherit;display:inline-block;min-width:100%}" +
    "aside{position:fixed;right:.75rem;bottom:.75rem;padding:.35rem .7rem;border-radius:4px;font-size:14px;" +
    "background:light-dark(#2b1d10,#f3e6d3);color:light-dark(#fdf6e9,#2b2118)}";

  function host(content) {
    var box = document.createElement("div"), shadow = box.attachShadow({mode: "open"});
    box.lang = "en";
    shadow.append(element("style", style), content);
    document.body.append(box);
    return box;
  }

  function item(problem) {
    var row = element("li");
    if (problem.file) { row.append(element("p", problem.file + (problem.line ? ", line " + problem.line : ""), "place")); }
    row.append(element("p", problem.message));
    if (problem.source.length) {
      var source = element("pre");
      problem.source.forEach(function (line, n) {
        var text = String(line.number).padStart(4) + "  " + line.text;
        source.append(n ? "\n" : "", line.faulty ? element("mark", text) : text);
      });
      source.tabIndex = 0;
      row.append(source);
    }
    row.append(element("p", problem.remedy, "remedy"));
    return row;
  }

  function show(problems) {
    var now = JSON.stringify(problems);
    if (now === shown) { return; }
    shown = now;
    if (panel) { panel.remove(); panel = null; }
    if (!problems.length) { return; }
    var section = element("section"), head = element("header"), list = element("ol"), button = element("button");
    section.setAttribute("role", "alert");
    head.append(element("h2", problems.length === 1 ? "One problem keeps this page as it was" : problems.length + " problems keep this page as it was"), button);
    button.type = "button";
    function fold() {
      list.hidden = folded;
      button.textContent = folded ? "Show" : "Fold away";
      button.setAttribute("aria-expanded", String(!folded));
    }
    button.addEventListener("click", function () { folded = !folded; fold(); });
    fold();
    problems.forEach(function (problem) { list.append(item(problem)); });
    section.append(head, list);
    panel = host(section);
  }

  function count(pictures) {
    if (note) { note.remove(); note = null; }
    if (pictures && !panel) { note = host(element("aside", pictures === 1 ? "1 picture is being made" : pictures + " pictures are being made")); }
  }

  function hear(news) {
    if (news.stale || news.files.some(function (file) { return uses("script[src]", "src", file).length; })) { reload(); return; }
    news.files.forEach(function (file) {
      uses("link[rel~=stylesheet]", "href", file).forEach(function (link) { swap(link, news.serial); });
    });
    told.since = String(news.serial);  // what was swapped need not be swapped again
    show(news.problems);
    count(news.pictures);
  }

  // Only for a page that is seen: a browser opens few connections to one address, and there may be many tabs.
  var source = null;
  function follow() {
    if (document.hidden || source) { return; }
    source = new EventSource("/.preview/news?" + new URLSearchParams({page: told.page, run: told.run, since: told.since}));
    source.onmessage = function (event) { hear(JSON.parse(event.data)); };
  }
  function leave() {
    if (source) { source.close(); source = null; }
  }
  document.addEventListener("visibilitychange", function () { if (document.hidden) { leave(); } else { follow(); } });
  addEventListener("pagehide", leave);
  addEventListener("pageshow", function (event) { if (event.persisted) { reload(); } });
  follow();
})();
