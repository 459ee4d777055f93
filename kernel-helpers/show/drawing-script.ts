import { scriptJson } from "./escape.js";
import { darkOf } from "./theme.js";

/**
 * The part of the page script that draws: `airpathDraw(key, figure)` puts a live plot in place of each static
 * picture with that key and says whether it found one. Plain JavaScript that current browsers read.
 *
 * The live plot takes light or dark colours from the page behind it, breaks titles and names for its width, fits
 * its legend, changes to even ticks when one zooms in, and keeps the static picture up to date, because that picture is what is printed.
 */
export const drawingScript: string = `
window.airpathDraw = function (key, figure) {
  var Plotly = window.Plotly, DARK = ${scriptJson(darkOf)};
  var copy = function (value) { return JSON.parse(JSON.stringify(value)); };
  // The colour of the page behind an element: the plot takes it as its own, so that it looks transparent.
  function paperOf(element) {
    for (var e = element; e && e.nodeType === 1; e = e.parentElement) {
      var text = getComputedStyle(e).backgroundColor, c = (text.match(/[\\d.]+/g) || []).map(Number);
      if (/^rgb/.test(text) && (c.length === 3 || c[3] > 0.9)) return { css: "rgb(" + c.slice(0, 3) + ")", dark: 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2] < 96 };
    }
    var dark = /dark/.test(getComputedStyle(document.documentElement).colorScheme) && matchMedia("(prefers-color-scheme: dark)").matches;
    return { css: dark ? "#121212" : "#ffffff", dark: dark };
  }
  function darkened(value) {
    if (typeof value === "string") return DARK[value] || value;
    if (Array.isArray(value)) return typeof value[0] === "number" ? value : value.map(darkened);
    if (!value || typeof value !== "object") return value;
    return Object.keys(value).reduce(function (out, k) { out[k] = darkened(value[k]); return out; }, {});
  }
  // Lines of a text that are not wider than a limit in px; a word that is too wide is cut.
  var pen = document.createElement("canvas").getContext("2d");
  function broken(text, limit, font) {
    pen.font = font;
    var wide = function (t) { return pen.measureText(t).width * 1.01 > limit; }, lines = [], line = "";
    text.trim().split(/\\s+/).forEach(function (word) {
      if (line && !wide(line + " " + word)) { line += " " + word; return; }
      if (line) lines.push(line);
      while (wide(word)) {
        var letters = Array.from(word), n = 1;
        while (n < letters.length && !wide(letters.slice(0, n + 1).join(""))) n++;
        if (n === letters.length) break;
        lines.push(letters.slice(0, n).join(""));
        word = letters.slice(n).join("");
      }
      line = word;
    });
    if (line) lines.push(line);
    return lines;
  }
  function escaped(text) { return text.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;").replace(/%\\{/g, "&#37;{"); }
  function plain(name) { return name.replace(/<br>/g, " ").replace(/&#37;\\{/g, "%{").replace(/&lt;/g, "<").replace(/&gt;/g, ">").replace(/&amp;/g, "&"); }
  // Breaks titles and names for a width in px and takes the ticks that have room in it; gives the px of the titles.
  function shape(now, wide) {
    var m = now.layout.meta, family = now.layout.font.family, inner = wide - now.layout.margin.l - m.right;
    var title = broken(plain(m.title), inner, "bold " + m.sizes.title + "px " + family), sub = broken(plain(m.subtitle), inner, m.sizes.subtitle + "px " + family);
    var bold = function (line) { return "<b>" + escaped(line) + "</b>"; }, high = m.titleSteps.first;
    now.layout.title.text = bold(title[0] || "");
    [title.slice(1).map(bold), sub.map(escaped)].forEach(function (lines, i) {
      var a = now.layout.annotations[i];
      a.visible = lines.length > 0;
      a.text = lines.join("<br>");
      a.fromTop = high;
      high += Math.ceil(lines.length * a.font.size * m.titleSteps.line) + (i === 0 && lines.length ? m.titleSteps.further : 0);
    });
    high += m.titleSteps.under;
    var limit = Math.min(m.widestName, inner - 52);
    now.data.forEach(function (trace) {
      if (typeof trace.name === "string") trace.name = broken(plain(trace.name), limit, m.sizes.name + "px " + family).map(escaped).join("<br>");
    });
    var right = now.layout.margin.r, space = wide - now.layout.margin.l - right, fit = m.ticks.filter(function (t) { return t.length <= space; })[0] || m.ticks[m.ticks.length - 1];
    now.layout.xaxis.tickvals = fit.values;
    now.layout.xaxis.ticktext = fit.labels;
    now.layout.xaxis.minor.tickvals = fit.minor;
    return high;
  }
  // Puts the room above the panels to so many px; the titles keep their distance from the upper edge.
  function lift(layout, top) {
    layout.height += top - layout.margin.t;
    layout.margin.t = top;
    layout.annotations.forEach(function (a) { if (a.fromTop !== undefined) { a.yshift = top - a.fromTop; delete a.fromTop; } });
  }
  function draw(holder) {
    var picture = holder.querySelector("img"), live = document.createElement("div");
    live.className = "airpath-live";
    holder.appendChild(live);
    var axes = Object.keys(figure.layout).filter(function (k) { return /^[xy]axis/.test(k); });
    var base = figure.layout, meta = base.meta, legend = base.margin.t - meta.titleHeight - meta.aboveLegend;
    var tall = base.height, width = 0, paper = null, busy = false, timer = 0;
    // The figure as it is now (zoom, hidden lines), in the colours of white paper.
    function current() {
      var now = copy(figure);
      if (live.layout) {
        axes.forEach(function (k) {
          ["range", "tickmode", "nticks"].forEach(function (p) { if (live.layout[k][p] !== undefined) now.layout[k][p] = copy(live.layout[k][p]); });
        });
        now.data.forEach(function (trace, i) { if (live.data[i].visible !== undefined) trace.visible = live.data[i].visible; });
        // The slider has put other values into the lines.
        (live.layout.sliders || []).forEach(function (slider, i) {
          var step = now.layout.sliders[i].steps[slider.active];
          now.layout.sliders[i].active = slider.active;
          step.args[1].forEach(function (line, k) { now.data[line].y = copy(step.args[0].y[k]); });
        });
      }
      return now;
    }
    function coloured() {
      paper = paperOf(holder);
      var now = current();
      lift(now.layout, shape(now, holder.offsetWidth) + meta.aboveLegend + legend);
      tall = now.layout.height;
      if (paper.dark) now = { data: darkened(now.data), layout: darkened(now.layout) };
      now.layout.paper_bgcolor = now.layout.plot_bgcolor = paper.css;
      // The element has the height, because plotly forgets its own when it fits the width.
      live.style.height = tall + "px";
      delete now.layout.height;
      return now;
    }
    function save(wide) {
      var now = current(), note = meta.sliderNote && copy(meta.sliderNote), slider = (now.layout.sliders || [])[0];
      // In a picture a sentence says where the slider stands.
      if (slider) {
        var was = slider.steps[figure.layout.sliders[0].active].label, is = slider.steps[slider.active].label;
        note.text = note.text.replace(" " + was, " " + is);
        now.layout.annotations = (now.layout.annotations || []).concat(note);
        delete now.layout.sliders;
      }
      lift(now.layout, shape(now, wide) + meta.aboveLegend + legend);
      return { data: now.data, layout: Object.assign(now.layout, { width: wide, autosize: false }), config: { typesetMath: false } };
    }
    function refreshPicture() {
      clearTimeout(timer);
      timer = setTimeout(function () {
        var wide = Number(picture.getAttribute("width")), now = save(wide);
        Plotly.toImage(now, { format: "svg", width: wide, height: now.layout.height }).then(function (address) {
          picture.src = address;
          picture.setAttribute("height", now.layout.height);
        });
      }, 400);
    }
    function fit() {
      var box = live.querySelector(".legend .bg"), need = box ? Math.ceil(Number(box.getAttribute("height"))) : 0, more = need - legend;
      if (Math.abs(more) < 2) return;
      var change = { "margin.t": live.layout.margin.t + more, autosize: true };
      legend = need;
      tall += more;
      live.style.height = tall + "px";
      live.layout.annotations.forEach(function (a, i) { change["annotations[" + i + "].yshift"] = a.yshift + more; });
      busy = true;
      return Plotly.relayout(live, change).then(function () { busy = false; });
    }
    function resize() {
      busy = true;
      return Plotly.Plots.resize(live).then(function () { busy = false; }, function () { busy = false; });
    }
    // Chosen ticks suit the whole range; inside it plotly finds even ones.
    function ticks() {
      var change = {};
      axes.forEach(function (k) {
        var now = live.layout[k], whole = base[k].range, log = now.type === "log";
        var same = Math.abs(now.range[0] - whole[0]) + Math.abs(now.range[1] - whole[1]) < 1e-6 * Math.abs(whole[1] - whole[0]);
        var mode = same || (log && k === "xaxis" && now.range[1] - now.range[0] > 0.75) ? "array" : "auto";
        if (mode !== now.tickmode) { change[k + ".tickmode"] = mode; change[k + ".nticks"] = mode === "auto" ? 8 : 0; }
      });
      if (!Object.keys(change).length) return;
      busy = true;
      return Plotly.relayout(live, change).then(function () { busy = false; });
    }
    function start() {
      var now = coloured(), config = copy(figure.config);
      config.responsive = false;
      config.modeBarButtons = [["zoom2d", "pan2d", "resetScale2d", {
        name: "save", title: "Save as PNG", icon: Plotly.Icons.camera,
        click: function (gd) {
          var f = save(gd.offsetWidth);
          Plotly.downloadImage(f, Object.assign({ width: gd.offsetWidth, height: f.layout.height }, figure.config.toImageButtonOptions));
        }
      }]];
      return Plotly.newPlot(live, now.data, now.layout, config).then(function () {
        holder.classList.add("airpath-drawn");
        live.on("plotly_relayout", function () { if (!busy) { Promise.resolve(ticks()).then(refreshPicture); } });
        live.on("plotly_restyle", function () { if (!busy) refreshPicture(); });
        return resize();
      }).then(fit).then(function () { live.setAttribute("data-airpath-ready", ""); });
    }
    function redraw() {
      var now = coloured();
      busy = true;
      return Plotly.react(live, now.data, now.layout).then(resize).then(fit).then(function () { busy = false; }, function () { busy = false; });
    }
    function repaint() {
      if (started && paper && paper.css !== paperOf(holder).css) started = started.then(redraw);
    }
    var started = null;
    function size() {
      if (!holder.offsetWidth || holder.offsetWidth === width) return;
      width = holder.offsetWidth;
      if (started) started = started.then(redraw);
      else started = start().catch(function (problem) { live.remove(); console.error("airpath: the plot could not be drawn", problem); });
    }
    if (window.ResizeObserver) new ResizeObserver(size).observe(holder); else size();
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", function () { setTimeout(repaint, 50); });
    new MutationObserver(function () { setTimeout(repaint, 200); }).observe(document.body, { attributes: true });
  }
  var found = document.querySelectorAll('.airpath-plot[data-airpath-key="' + key + '"]:not([data-airpath-taken])');
  for (var i = 0; i < found.length; i++) { found[i].setAttribute("data-airpath-taken", ""); draw(found[i]); }
  return found.length > 0;
};`;

/**
 * The script of one figure: waits up to ten seconds for the plotting library, wherever its cell stands, and draws.
 *
 * @param key     names the figure's static pictures: the same for the same figure shown twice
 * @param figure  data, layout and configuration
 */
export function figureScript(key: string, figure: unknown): string {
  return (
    `(function(){var n=0,f=${scriptJson(figure)};(function go(){` +
    `if(window.Plotly&&window.airpathDraw&&window.airpathDraw(${scriptJson(key)},f))return;` +
    "if(++n<100)setTimeout(go,100)})()})()"
  );
}
