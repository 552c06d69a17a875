// Draws a chart of one quantity (or two on one time axis) into a figure, and lets fingers, mouse and
// keys move it. The numbers come from the address in data-chart; the words from data-words.
"use strict";
(() => {
  const MINUTE = 60;
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const DPR = () => window.devicePixelRatio || 1;
  // Numbers and days as the system writes them: the page says how.
  const marked = (figure, text) => String(text).replace(".", figure.dataset.mark);
  const language = (figure) => {
    const said = document.documentElement.lang;
    return said !== "en" ? said : figure.dataset.dates === "day first" ? "en-GB" : "en-US";
  };

  function aligned(data) {
    // One row of times for the line of the past and the week ahead; tests are drawn by themselves.
    const t = [], v = [], lo = [], hi = [], va = [], loa = [], hia = [];
    const put = (course, past) => course.t.forEach((minute, i) => {
      t.push(data.from + minute * MINUTE);
      v.push(past ? course.v[i] : null); lo.push(past ? course.lo[i] : null); hi.push(past ? course.hi[i] : null);
      va.push(past ? null : course.v[i]); loa.push(past ? null : course.lo[i]); hia.push(past ? null : course.hi[i]);
    });
    put(data.line, true);
    put(data.ahead, false);
    return [t, v, lo, hi, va, loa, hia];
  }

  function extent(data, min, max) {
    let low = Infinity, high = -Infinity;
    const see = (minute, value) => {
      const at = data.from + minute * MINUTE;
      if (at < min || at > max || value === null) return;
      if (value < low) low = value;
      if (value > high) high = value;
    };
    for (const course of [data.line, data.ahead]) {
      course.t.forEach((minute, i) => { see(minute, course.lo[i]); see(minute, course.hi[i]); });
    }
    data.tests.t.forEach((minute, i) => see(minute, data.tests.v[i]));
    if (data.band) { low = Math.min(low, data.band[0]); high = Math.max(high, data.band[1]); }
    if (!(low <= high)) return [0, 1];
    const pad = (high - low) * 0.08 || Math.abs(high) * 0.05 || 1;
    return [low >= 0 ? Math.max(low - pad, 0) : low - pad, high + pad];
  }

  function drawTests(u, data, scale, ink, ochre) {
    const { ctx } = u, size = 3 * DPR();
    const k = data.tests.k;
    data.tests.t.forEach((minute, i) => {
      const at = data.from + minute * MINUTE;
      if (at < u.scales.x.min || at > u.scales.x.max) return;
      const x = u.valToPos(at, "x", true), y = u.valToPos(data.tests.v[i], scale, true);
      ctx.lineWidth = DPR();
      if (k[i] === "2") {
        ctx.strokeStyle = colour("--faded");
        ctx.beginPath(); ctx.moveTo(x - size, y - size); ctx.lineTo(x + size, y + size);
        ctx.moveTo(x + size, y - size); ctx.lineTo(x - size, y + size); ctx.stroke();
        return;
      }
      if (k[i] === "0" && data.tests.sd) {
        const up = u.valToPos(data.tests.v[i] + data.tests.sd, scale, true);
        const down = u.valToPos(data.tests.v[i] - data.tests.sd, scale, true);
        ctx.strokeStyle = colour("--faded");
        ctx.beginPath(); ctx.moveTo(x, up); ctx.lineTo(x, down); ctx.stroke();
      }
      ctx.beginPath();
      ctx.arc(x, y, size, 0, 2 * Math.PI);
      if (k[i] === "0") { ctx.fillStyle = ink; ctx.fill(); return; }
      ctx.strokeStyle = k[i] === "1" ? ochre : colour("--faded");
      ctx.lineWidth = 1.6 * DPR(); ctx.fillStyle = colour("--paper"); ctx.fill(); ctx.stroke();
    });
  }

  function drawBand(u, figure, data, scale, outside) {
    if (!data.band) return;
    const { ctx, bbox } = u;
    ctx.strokeStyle = colour("--slate"); ctx.lineWidth = DPR();
    ctx.fillStyle = colour("--slate"); ctx.font = `${12 * DPR()}px system-ui, sans-serif`;
    ctx.textAlign = outside ? "left" : "right";
    data.band.forEach((end, i) => {
      const y = u.valToPos(end, scale, true);
      if (y < bbox.top || y > bbox.top + bbox.height) return;
      ctx.beginPath(); ctx.moveTo(bbox.left, y); ctx.lineTo(bbox.left + bbox.width, y); ctx.stroke();
      ctx.textBaseline = outside ? "middle" : i ? "bottom" : "top";
      ctx.fillText(marked(figure, end), bbox.left + bbox.width + (outside ? 4 : -2) * DPR(), y + (outside ? 0 : i ? -2 : 2) * DPR());
    });
  }

  function drawMarks(u, data) {
    const { ctx, bbox } = u;
    const foot = bbox.top + bbox.height;
    ctx.strokeStyle = colour("--faded"); ctx.lineWidth = DPR();
    for (const [minute, kind] of data.marks) {
      const at = data.from + minute * MINUTE;
      if (at < u.scales.x.min || at > u.scales.x.max) continue;
      const x = u.valToPos(at, "x", true);
      const tall = (data.kinds[kind][0] === "dosing" ? 6 : 10) * DPR();
      ctx.beginPath(); ctx.moveTo(x, foot); ctx.lineTo(x, foot - tall); ctx.stroke();
    }
    const now = u.valToPos(data.from + data.now * MINUTE, "x", true);
    if (now > bbox.left && now < bbox.left + bbox.width) {
      ctx.setLineDash([2 * DPR(), 3 * DPR()]);
      ctx.beginPath(); ctx.moveTo(now, bbox.top); ctx.lineTo(now, foot); ctx.stroke();
      ctx.setLineDash([]);
    }
  }

  function mixed(name, share) {
    const hex = colour(name);
    return `${hex}${Math.round(share * 255).toString(16).padStart(2, "0")}`;
  }

  function dated(ticks, figure, zone) {
    const step = ticks.length > 1 ? ticks[1] - ticks[0] : 86400;
    const parts = step < 86400 ? { hour: "2-digit", minute: "2-digit", day: "numeric", month: "short" }
      : step < 25 * 86400 ? { day: "numeric", month: "short" } : { month: "short", year: "numeric" };
    const format = new Intl.DateTimeFormat(language(figure), { ...parts, hourCycle: "h23", timeZone: zone });
    return ticks.map((tick) => format.format(new Date(tick * 1e3)).replace(", ", "\n").replace(/ (\d{4})$/, "\n$1"));
  }

  function options(figure, data, beside, width) {
    const zone = figure.dataset.zone;
    const ink = colour("--ink"), faded = colour("--faded"), rule = colour("--rule");
    const font = "13px system-ui, -apple-system, sans-serif";
    const series = [{}];
    const curves = (scale, stroke) => {
      series.push({ scale, stroke, width: 1.6, points: { show: false } });
      series.push({ scale, stroke: "transparent", points: { show: false } });
      series.push({ scale, stroke: "transparent", points: { show: false } });
      series.push({ scale, stroke, width: 1.4, dash: [5, 4], points: { show: false } });
      series.push({ scale, stroke: "transparent", points: { show: false } });
      series.push({ scale, stroke: "transparent", points: { show: false } });
    };
    curves("y", ink);
    const bands = [
      { series: [3, 2], fill: mixed("--slate", 0.3) }, { series: [6, 5], fill: mixed("--slate", 0.15) },
    ];
    const value = (decimals) => (_u, ticks) => ticks.map((tick) => marked(figure, tick.toFixed(decimals(ticks))));
    const digits = (ticks) => {
      const step = ticks.length > 1 ? Math.abs(ticks[1] - ticks[0]) : 1;
      // So many that no tick is rounded: of a step of 2.5 every other one would be wrong by half.
      for (let decimals = 0; decimals < 4; decimals += 1) {
        const whole = step * 10 ** decimals;
        if (Math.abs(whole - Math.round(whole)) < 1e-6 * Math.max(whole, 1)) return decimals;
      }
      return 4;
    };
    const axis = (scale, side, label, stroke) => ({
      scale, side, label, labelSize: 22, size: 48, gap: 4, stroke, font, labelFont: font,
      grid: { stroke: rule, width: 1, show: side === 3 }, ticks: { stroke: rule, width: 1, size: 4 },
      values: value(digits),
    });
    const axes = [
      { stroke: faded, font, grid: { show: false }, ticks: { stroke: rule, width: 1, size: 4 }, space: 64,
        values: (_u, ticks) => dated(ticks, figure, zone) },
      axis("y", 3, `${figure.dataset.label}, ${data.unit}`, faded),
    ];
    // The height follows the span that is shown; `movable` sets both together.
    const [from, to] = whole(data);
    const scales = { x: { time: true, range: (_u, min, max) => [min ?? from, max ?? to] },
      y: { auto: false, range: (_u, min, max) => (min === null ? extent(data, from, to) : [min, max]) } };
    if (beside) {
      curves("z", colour("--ochre"));
      bands.push({ series: [9, 8], fill: mixed("--ochre", 0.18) }, { series: [12, 11], fill: mixed("--ochre", 0.1) });
      axes.push(axis("z", 1, `${figure.dataset.besideLabel}, ${beside.unit}`, colour("--ochre")));
      scales.z = { auto: false, range: (_u, min, max) => (min === null ? extent(beside, from, to) : [min, max]) };
    }
    return {
      width, height: Math.max(Math.min(width * 0.62, 420), 260),
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1e3), zone),
      series, bands, axes, scales,
      padding: [12, beside ? 8 : 40, 0, 0],
      legend: { show: false },
      cursor: { drag: { x: false, y: false, setScale: false }, points: { show: false }, x: false, y: false },
      hooks: {
        draw: [(u) => {
          u.ctx.save();
          drawBand(u, figure, data, "y", !beside);
          u.ctx.beginPath(); u.ctx.rect(u.bbox.left, u.bbox.top, u.bbox.width, u.bbox.height); u.ctx.clip();
          if (beside) drawTests(u, beside, "z", colour("--ochre"), colour("--ochre"));
          drawTests(u, data, "y", ink, colour("--ochre"));
          drawMarks(u, data);
          u.ctx.restore();
        }],
      },
    };
  }

  function joined(data, beside) {
    const own = aligned(data);
    return beside ? uPlot.join([own, aligned(beside)]) : own;
  }

  function whole(data) {
    const end = data.ahead.t[data.ahead.t.length - 1];
    const from = data.from, to = data.from + end * MINUTE;
    const span = data.now * MINUTE;
    // The week ahead takes at most a third of the figure.
    return [from, Math.min(to, from + span + Math.max(span / 2, 86400))];
  }

  function movable(u, figure, data, beside, words) {
    const drawn = beside ? [["y", data], ["z", beside]] : [["y", data]];
    const [first, last] = whole(data);
    const shortest = 6 * 3600;
    const set = (min, max) => {
      const span = Math.min(Math.max(max - min, shortest), last - first);
      let from = Math.max(min, first);
      if (from + span > last) from = last - span;
      u.batch(() => {
        u.setScale("x", { min: from, max: from + span });
        for (const [scale, one] of drawn) {
          const [min_, max_] = extent(one, from, from + span);
          u.setScale(scale, { min: min_, max: max_ });
        }
      });
    };
    const zoom = (factor, at) => {
      const { min, max } = u.scales.x, middle = at ?? (min + max) / 2;
      set(middle - (middle - min) * factor, middle + (max - middle) * factor);
    };
    const move = (share) => {
      const { min, max } = u.scales.x, by = (max - min) * share;
      set(min + by, max + by);
    };
    set(first, last);
    fingers(u, set, zoom);
    mouse(u, set);
    u.over.addEventListener("dblclick", () => set(first, last));
    u.over.addEventListener("wheel", (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      zoom(event.deltaY > 0 ? 1.25 : 0.8, u.posToVal(event.offsetX, "x"));
    }, { passive: false });
    const canvas = figure.querySelector(".canvas");
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "group");
    canvas.setAttribute("aria-label", words.figure);
    canvas.addEventListener("keydown", (event) => {
      const act = {
        ArrowLeft: () => move(-0.2), ArrowRight: () => move(0.2), "+": () => zoom(0.6), "=": () => zoom(0.6),
        "-": () => zoom(1.6), 0: () => set(first, last),
      }[event.key];
      if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      act();
    });
    buttons(figure, words, { closer: () => zoom(0.6), wider: () => zoom(1.6), earlier: () => move(-0.4),
      later: () => move(0.4), all: () => set(first, last) });
  }

  function buttons(figure, words, acts) {
    const row = document.createElement("p");
    row.className = "go moves";
    for (const [name, act] of Object.entries(acts)) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words[name];
      button.addEventListener("click", act);
      row.append(button);
    }
    figure.querySelector("figcaption").before(row);
  }

  function fingers(u, set, zoom) {
    // One finger moves along the time, two go closer or wider; up and down still scrolls the page.
    const down = new Map();
    let before = null;
    const spread = () => {
      const [a, b] = [...down.values()];
      return { gap: Math.max(Math.abs(a - b), 8), middle: (a + b) / 2 };
    };
    u.over.style.touchAction = "pan-y";
    u.over.addEventListener("pointerdown", (event) => {
      if (event.pointerType === "mouse") return;
      down.set(event.pointerId, event.offsetX);
      before = down.size === 2 ? spread() : { x: event.offsetX };
    });
    u.over.addEventListener("pointermove", (event) => {
      if (!down.has(event.pointerId)) return;
      down.set(event.pointerId, event.offsetX);
      const { min, max } = u.scales.x, perPixel = (max - min) / u.over.clientWidth;
      if (down.size === 2 && before.gap) {
        const now = spread();
        zoom(before.gap / now.gap, u.posToVal(now.middle, "x"));
        before = now;
      } else if (down.size === 1 && before.x !== undefined) {
        const by = (before.x - event.offsetX) * perPixel;
        set(min + by, max + by);
        before = { x: event.offsetX };
      }
    });
    const up = (event) => { down.delete(event.pointerId); before = down.size === 1 ? { x: [...down.values()][0] } : null; };
    for (const name of ["pointerup", "pointercancel", "pointerleave"]) u.over.addEventListener(name, up);
  }

  function mouse(u, set) {
    // A drag with the mouse chooses a span.
    const shade = document.createElement("div");
    shade.className = "chosen";
    u.over.append(shade);
    let from = null;
    u.over.addEventListener("pointerdown", (event) => {
      if (event.pointerType !== "mouse" || event.button !== 0) return;
      from = event.offsetX;
      u.over.setPointerCapture(event.pointerId);
    });
    u.over.addEventListener("pointermove", (event) => {
      if (from === null || event.pointerType !== "mouse") return;
      const x = event.clientX - u.over.getBoundingClientRect().left;
      shade.style.left = `${Math.min(from, x)}px`;
      shade.style.width = `${Math.abs(x - from)}px`;
    });
    u.over.addEventListener("pointerup", (event) => {
      if (from === null) return;
      const x = event.clientX - u.over.getBoundingClientRect().left;
      if (Math.abs(x - from) > 8) set(u.posToVal(Math.min(from, x), "x"), u.posToVal(Math.max(from, x), "x"));
      shade.style.width = "0";
      from = null;
    });
  }

  function telling(u, figure, data, words) {
    // The nearest test or tick, in words, under the figure.
    const line = document.createElement("p");
    line.className = "touched";
    line.setAttribute("aria-live", "polite");
    figure.querySelector("figcaption").before(line);
    const said = [words.sound, words.suspect, words.superseded, words.off];
    const dates = new Intl.DateTimeFormat(language(figure), {
      timeZone: figure.dataset.zone, weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
      hourCycle: "h23",
    });
    u.over.addEventListener("pointermove", (event) => {
      let best = 24, text = "";
      const tell = (distance, minute, words_) => {
        if (distance >= best) return;
        best = distance;
        text = `${dates.format(new Date((data.from + minute * MINUTE) * 1e3))}: ${words_}`;
      };
      data.tests.t.forEach((minute, i) => {
        const x = u.valToPos(data.from + minute * MINUTE, "x"), y = u.valToPos(data.tests.v[i], "y");
        tell(Math.hypot(x - event.offsetX, y - event.offsetY), minute,
          `${marked(figure, data.tests.v[i])} ${data.unit}, ${said[Number(data.tests.k[i])]}`);
      });
      if (event.offsetY > u.over.clientHeight - 28) {
        for (const [minute, kind, what] of data.marks) {
          const x = u.valToPos(data.from + minute * MINUTE, "x");
          tell(Math.abs(x - event.offsetX), minute, `${data.kinds[kind][1]}, ${what}`);
        }
      }
      if (text !== line.textContent) line.textContent = text;
    });
  }

  async function fetched(address) {
    const answer = await fetch(address, { headers: { accept: "application/json" } });
    if (!answer.ok) throw new Error(String(answer.status));
    return answer.json();
  }

  async function draw(figure, tries) {
    const words = JSON.parse(figure.dataset.words);
    const canvas = figure.querySelector(".canvas");
    let data, beside = null;
    try {
      data = await fetched(figure.dataset.chart);
      if (figure.dataset.beside) beside = await fetched(figure.dataset.beside);
    } catch {
      canvas.textContent = words.failed;
      return;
    }
    if (!data.tests) { setTimeout(() => draw(figure, tries + 1), 2000); return; }
    for (const old of figure.querySelectorAll(".moves, .touched")) old.remove();
    canvas.replaceChildren();
    const u = new uPlot(options(figure, data, beside, canvas.clientWidth), joined(data, beside), canvas);
    movable(u, figure, data, beside, words);
    telling(u, figure, data, words);
    figure.dataset.drawn = "1";
    figure.toggleAttribute("data-coming", data.coming);
    if (data.coming) {
      figure.querySelector(".touched").textContent = words.coming;
      if (tries < 60) setTimeout(() => draw(figure, tries + 1), 3000);
    }
    const again = () => { if (canvas.clientWidth) u.setSize({ width: canvas.clientWidth, height: u.height }); };
    new ResizeObserver(again).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => draw(figure, 0), { once: true });
  }

  for (const figure of document.querySelectorAll("figure[data-chart]")) draw(figure, 0);
})();
