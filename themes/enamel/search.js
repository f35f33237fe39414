// enamel: the search page. Without this file the page is the whole list.
// It holds no words: all text comes from the page. The index, and the table by which words are folded, come
// from search-index.js, which is fetched when the search is first used; a page opened from a folder may fetch
// nothing but scripts, so the index is one that calls journalIndex. Of a long record there are several, each with
// its own list; they come newest first, and what is found in them shows as they come.
(function () {
  "use strict";
  var STEP = 60; // results shown at once
  var TITLE = 16, ALSO = 8, NOTE = 4, TEXT = 1; // a whole word counts twice its beginning, whatever it stands in
  var form, word, says, list, more, rows = [], chunks = [], dressed = [], letters = {}, special = null;
  var state = "idle", asked = [], limit = STEP, broken = false, due = 0;

  function all(what, where) { return Array.prototype.slice.call(where.querySelectorAll(what)); }
  function make(tag, name, text) { var e = document.createElement(tag); if (name) e.className = name; e.textContent = text || ""; return e; }

  // Words, as journalgen/site/search_index.py folds and splits them.
  function bare(s) { return s.normalize("NFKD").replace(/[\p{M}\p{Cf}]/gu, ""); }
  function fold(s) {
    return bare(s).toLowerCase().replace(/[\p{M}\p{Cf}]/gu, "").replace(special, function (c) { return letters[c]; });
  }
  function split(s) { return fold(s).match(/[\p{L}\p{N}]+/gu) || []; }

  // The index: words share their first letters with the one before, entries are bits, 13 in two signs.
  function read(index) {
    var before = "", row = index.entries, at = 0, hold = 0, held = 0, words;
    function sign() { var c = row.charCodeAt(at++) - 32; return c - (c > 7) - (c > 60); }
    function take(width) {
      while (held < width) { hold = (hold << 13) | (sign() * 93 + sign()); held += 13; }
      held -= width;
      var value = hold >>> held;
      hold &= (1 << held) - 1;
      return value;
    }
    function place(places) {
      var width = 32 - Math.clz32(places - 1), short = Math.pow(2, width) - places, value;
      if (!width) return 0;
      value = take(width - 1);
      return value < short ? value : value * 2 + take(1) - short;
    }
    function fill(found, length, from, lowest, highest) {
      if (!length) return;
      var middle = length >> 1, first = lowest + middle;
      var number = first + place(highest - (length - 1 - middle) - first + 1);
      found[from + middle] = number;
      fill(found, middle, from, lowest, number - 1);
      fill(found, length - 1 - middle, from + middle + 1, number + 1, highest);
    }
    letters = index.letters;
    special = new RegExp("[" + Object.keys(letters).join("") + "]", "g");
    words = (index.words.match(/[A-Z][^A-Z]*/g) || []).map(function (piece) {
      before = before.slice(0, piece.charCodeAt(0) - 65) + piece.slice(1);
      return before;
    });
    return { words: words, first: 0, lists: words.map(function () {
      var width = 0, found;
      while (!take(1)) width++;
      found = new Array((1 << width) + take(width));
      fill(found, found.length, 0, 0, index.count - 1);
      return found;
    }) };
  }

  // Entries: what the list on the page says of them.
  function enter(li, number) {
    var link = li.querySelector("a"), notes = all("p", li);
    return { li: li, number: number, kind: li.dataset.kind, link: link, note: notes[notes.length - 1], href: link.getAttribute("href"), also: li.dataset.also || "" };
  }
  function fields(row) {
    if (!row.fields) {
      var day = row.note.querySelector("time");
      row.fields = [
        [TITLE, split(row.link.textContent)], [ALSO, split(row.also)],
        [NOTE, split(row.note.textContent + " " + (day ? day.dateTime : ""))],
      ];
    }
    return row.fields;
  }

  // One word that is asked for: the entries that hold it or a word that begins with it, each with those words.
  function holders(begin) {
    var found = new Map();
    chunks.forEach(function (chunk) {
      chunk.words.forEach(function (w, i) {
        if (w.startsWith(begin)) chunk.lists[i].forEach(function (n) {
          var held = found.get(chunk.first + n);
          if (held) held.push(w); else found.set(chunk.first + n, [w]);
        });
      });
    });
    return found;
  }
  function weigh(row, held, whole) {
    var best = 0, at = 0;
    fields(row).concat([[TEXT, held]]).forEach(function (field) {
      var has = field[1].filter(function (w) { return w.startsWith(whole); }), n;
      if (!has.length) return;
      n = field[0] * (has.indexOf(whole) >= 0 ? 2 : 1);
      if (field[0] === TITLE) n += has.length / field[1].length; // a title that says little else
      if (n > best) { best = n; at = field[0]; }
    });
    return { value: best, field: at };
  }
  function matches(kind) {
    var held = asked.map(holders), found = [];
    rows.forEach(function (row) {
      if (kind && row.kind !== kind) return;
      if (!held.every(function (h) { return h.has(row.number); })) return;
      var value = 0, within = [], named = [];
      asked.forEach(function (w, i) {
        var here = held[i].get(row.number), got = weigh(row, here, w);
        value += got.value;
        if (got.field === TEXT) within = within.concat(here);
        if (got.field < ALSO) named = named.concat(here);
      });
      named = unique(named).filter(function (w) { return w.length > 2; }); // shorter ones stand anywhere
      found.push({ row: row, value: value, within: unique(within), named: named });
    });
    return found.sort(function (a, b) { return b.value - a.value || a.row.number - b.row.number; });
  }
  function unique(of) { return of.filter(function (w, i) { return of.indexOf(w) === i; }); }

  // Marks: the matched letters of a text as it stands there, each of which may fold to none, one or several.
  function mark(element) {
    var walk = document.createTreeWalker(element, NodeFilter.SHOW_TEXT), nodes = [];
    while (walk.nextNode()) nodes.push(walk.currentNode);
    nodes.forEach(function (node) {
      var text = node.data, folded = "", from = [], to = [], spans = [], pieces, at = 0, find = /[\p{L}\p{N}]+/gu, hit;
      Array.from(text).forEach(function (c) {
        var f = fold(c), i;
        if (!f && to.length) to[to.length - 1] = at + c.length; // a mark goes with its letter
        for (i = 0; i < f.length; i++) { from.push(at); to.push(at + c.length); }
        folded += f;
        at += c.length;
      });
      while ((hit = find.exec(folded))) {
        var most = Math.max.apply(null, [0].concat(asked.map(function (w) { return hit[0].startsWith(w) ? w.length : 0; })));
        if (most) spans.push([from[hit.index], to[hit.index + most - 1]]);
      }
      if (!spans.length) return;
      pieces = document.createDocumentFragment();
      at = 0;
      spans.forEach(function (s) {
        pieces.append(text.slice(at, s[0]), make("mark", "", text.slice(s[0], s[1])));
        at = s[1];
      });
      pieces.append(text.slice(at));
      node.replaceWith(pieces);
    });
  }
  function clean(row) {
    all("mark", row.li).forEach(function (m) { m.replaceWith(m.textContent); });
    all(".within", row.li).forEach(function (p) { p.remove(); });
    row.li.normalize();
    row.link.setAttribute("href", row.href);
  }
  function dress(found) {
    var row = found.row;
    dressed.push(row);
    mark(row.link);
    mark(row.note);
    if (found.within.length) {
      var p = make("p", "within"), held = make("span", "", found.within.slice(0, 8).join(", "));
      mark(held);
      form.dataset.within.split("{words}").forEach(function (said, i) { p.append(i ? held : "", said); });
      row.li.append(p);
    }
    // A browser that knows text fragments goes to the word; for others this would hide the place that the link names.
    if (found.named.length && "fragmentDirective" in document) {
      row.link.setAttribute("href", row.href + (row.href.indexOf("#") < 0 ? "#" : "") + ":~:" +
        found.named.slice(0, 4).map(function (w) { return "text=" + encodeURIComponent(w).replace(/-/g, "%2D"); }).join("&"));
    }
  }

  function say(text, n) {
    var plain = function (m) { return m.toLocaleString(document.documentElement.lang); };
    if (state === "wait") text = form.dataset.wait; // the numbers are not known before all is here
    says.textContent = text.replace("{n}", plain(n || 0)).replace("{all}", plain(rows.length)) + (broken ? " " + form.dataset.failed : "");
  }
  function show(kind) {
    var found = asked.length || kind ? matches(kind) : null, shown;
    dressed.forEach(clean);
    dressed = [];
    if (found) {
      found.slice(0, limit).forEach(dress);
      shown = found.map(function (f) { return f.row; });
      say(found.length > 1 ? form.dataset.some : found.length ? form.dataset.one : form.dataset.none, found.length);
    } else {
      shown = rows;
      say(form.dataset.all);
    }
    // The whole list stands there as it did before, unless it is too long to stand in the page at all.
    if (found || form.dataset.list) { more.hidden = shown.length <= limit; shown = shown.slice(0, limit); } else more.hidden = true;
    put(shown.map(function (row) { return row.li; }));
  }
  // The index may come while somebody is in the list already: what has the focus keeps it.
  function put(items) {
    var at = document.activeElement;
    if (items.length === list.children.length && items.every(function (li, n) { return li === list.children[n]; })) return;
    list.replaceChildren.apply(list, items);
    if (at !== document.activeElement && list.contains(at)) at.focus({ preventScroll: true });
  }
  function find() {
    if (state === "idle") { fetchAll(); return; }
    if (!chunks.length) return;
    asked = unique(split(word.value));
    show(form.elements.kind.value);
  }

  // The address tells what was asked, so that it can be kept and passed on. From a folder it may not be changed;
  // then the history alone remembers it, for the way back.
  function note() {
    var q = word.value.trim(), kind = form.elements.kind.value, ask = new URLSearchParams(), keep = { q: q, kind: kind };
    if (q) ask.set("q", q);
    if (kind) ask.set("kind", kind);
    try { history.replaceState(keep, "", location.pathname + (String(ask) ? "?" + ask : "")); } catch (e) {
      try { history.replaceState(keep, ""); } catch (f) { /* a browser that keeps no history */ }
    }
  }
  function recall() {
    var ask = new URLSearchParams(location.search), keep = history.state || {}, kind = keep.kind || ask.get("kind") || "";
    word.value = "q" in keep ? keep.q : ask.get("q") || "";
    all("[name=kind]", form).forEach(function (radio) { radio.checked = radio.value === kind; });
    if (!form.querySelector("[name=kind]:checked")) form.querySelector("[name=kind]").checked = true;
    return word.value || form.elements.kind.value;
  }

  function fetchAll() {
    var named = form.dataset.index.split(" "), listed = (form.dataset.list || "").split(" "), chunk = null, left = 0;
    function came() {
      if (--left) { if (!due) due = setTimeout(part, 150); return; }
      clearTimeout(due);
      state = "ready";
      if (chunks.length) find();
      else if (broken) { broken = false; say(form.dataset.failed); } // and the list stays as it is
    }
    function part() { due = 0; if (word.value || form.elements.kind.value) find(); }
    function get(src) {
      var s = document.createElement("script");
      s.src = src;
      s.async = false; // they are fetched side by side, and run in this order
      s.onload = came;
      s.onerror = function () { broken = true; came(); };
      left++;
      document.head.append(s);
    }
    state = "wait";
    if (word.value) say("");
    window.journalIndex = function (index) { chunk = read(index); if (!listed[0]) chunks.push(chunk); };
    window.journalList = function (html) {
      var held = document.createElement("template"), first = rows.length; // its pictures are not fetched until shown
      held.innerHTML = html;
      rows = rows.concat(Array.from(held.content.children).map(function (li, n) { return enter(li, first + n); }));
      if (chunk) { chunk.first = first; chunks.push(chunk); } // without its index a list can only be looked through
      chunk = null;
    };
    named.forEach(function (src, n) { get(src); if (listed[n]) get(listed[n]); });
  }

  document.addEventListener("DOMContentLoaded", function () {
    form = document.querySelector("form[data-index]");
    if (!form) return;
    word = form.elements.q;
    says = form.querySelector("output");
    list = document.querySelector(".found");
    more = document.querySelector("[data-more]");
    rows = Array.from(list.children).map(enter);
    function change() { limit = STEP; note(); find(); }
    form.addEventListener("input", change);
    form.addEventListener("focusin", function () { if (state === "idle") fetchAll(); });
    form.addEventListener("submit", function (e) {
      e.preventDefault();
      change();
      if (window.matchMedia("(pointer: coarse)").matches) word.blur(); // the keyboard makes room for what was found
    });
    more.addEventListener("click", function () {
      var next = limit;
      limit += STEP;
      find();
      list.children[next].querySelector("a").focus();
    });
    if (recall()) find();
  });
}());
