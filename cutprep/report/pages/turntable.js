// A folded part to turn and to fold, on a plain canvas. Reads its data from the page, draws nothing
// until it is there, and leaves the still picture alone when anything is missing. `given` is the data, where the page
// does not hold it in an element of its own.
function turntable(root, key, given) {
  "use strict";
  var figure = root.document.getElementById(key);
  var source = root.document.getElementById(key + "-data");
  if (!figure || !(given || source)) { return; }
  var part = given || JSON.parse(source.textContent);
  var canvas = figure.querySelector("canvas");
  var slider = figure.querySelector("input");
  var said = figure.querySelector("output");
  var pen = canvas.getContext && canvas.getContext("2d");
  if (!pen) { return; }

  var look = { azimuth: part.azimuth, elevation: part.elevation, fraction: 1 };
  var marked = -1, faces = []; // a panel that is pointed at; what is drawn where, the nearest last

  // ---- where every panel lies -------------------------------------------------------------
  function anglesAt(fraction) {
    var f = part.fractions, high = 1;
    while (high < f.length - 1 && f[high] < fraction) { high += 1; }
    var share = (fraction - f[high - 1]) / (f[high] - f[high - 1]);
    return part.angles[high - 1].map(function (a, i) {
      return (a * (1 - share) + part.angles[high][i] * share) * Math.PI / 180;
    });
  }

  function times(a, b) { // 3 x 3 matrices as rows
    return a.map(function (row) {
      return [0, 1, 2].map(function (k) { return row[0] * b[0][k] + row[1] * b[1][k] + row[2] * b[2][k]; });
    });
  }

  function apply(m, p) {
    return m.map(function (row) { return row[0] * p[0] + row[1] * p[1] + row[2] * p[2]; });
  }

  function add(a, b) { return [a[0] + b[0], a[1] + b[1], a[2] + b[2]]; }

  function turnAbout(u, angle) {
    var c = Math.cos(angle), s = Math.sin(angle), k = 1 - c;
    return [[c + k * u[0] * u[0], k * u[0] * u[1], s * u[1]],
            [k * u[0] * u[1], c + k * u[1] * u[1], -s * u[0]],
            [-s * u[1], s * u[0], c]];
  }

  function placed(fraction) {
    var angles = anglesAt(fraction), poses = [];
    part.order.forEach(function (i) {
      var panel = part.panels[i];
      if (panel.parent < 0) {
        poses[i] = { turn: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], shift: [0, 0, 0] };
        return;
      }
      var above = poses[panel.parent], h = panel.hinge, p = [h[0], h[1], 0];
      var turn = turnAbout([h[2], h[3]], angles[i]), q = apply(turn, p);
      var moved = [p[0] - q[0], p[1] - q[1], p[2] - q[2]];
      poses[i] = { turn: times(above.turn, turn), shift: add(apply(above.turn, moved), above.shift) };
    });
    return poses;
  }

  function camera() {
    var a = look.azimuth * Math.PI / 180, e = look.elevation * Math.PI / 180, b = part.axes;
    function mix(x, y, z) {
      return [0, 1, 2].map(function (k) { return x * b[0][k] + y * b[1][k] + z * b[2][k]; });
    }
    return [mix(-Math.sin(a), Math.cos(a), 0),
            mix(-Math.sin(e) * Math.cos(a), -Math.sin(e) * Math.sin(a), Math.cos(e)),
            mix(Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e))];
  }

  // ---- what hides what --------------------------------------------------------------------
  function area(ring) {
    var sum = 0;
    for (var i = 0; i < ring.length; i += 1) {
      var p = ring[i], q = ring[(i + 1) % ring.length];
      sum += p[0] * q[1] - q[0] * p[1];
    }
    return sum / 2;
  }

  function clip(ring, by) { // what a convex ring and a triangle have in common, seen flat
    var turn = area(by) > 0 ? 1 : -1;
    for (var i = 0; i < 3 && ring.length; i += 1) {
      var p = by[i], q = by[(i + 1) % 3], out = [];
      var side = function (r) { return turn * ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])); };
      for (var k = 0; k < ring.length; k += 1) {
        var a = ring[k], b = ring[(k + 1) % ring.length], s = side(a), t = side(b);
        if (s >= 0) { out.push(a); }
        if (s * t < 0) { out.push([a[0] + (b[0] - a[0]) * s / (s - t), a[1] + (b[1] - a[1]) * s / (s - t)]); }
      }
      ring = out;
    }
    return ring;
  }

  function planeOf(t) { // depth of a triangle's plane as a function of the place in the picture
    var u = [t[1][0] - t[0][0], t[1][1] - t[0][1], t[1][2] - t[0][2]];
    var v = [t[2][0] - t[0][0], t[2][1] - t[0][1], t[2][2] - t[0][2]];
    var nz = u[0] * v[1] - u[1] * v[0];
    var nx = u[1] * v[2] - u[2] * v[1], ny = u[2] * v[0] - u[0] * v[2];
    return function (x, y) { return t[0][2] - (nx * (x - t[0][0]) + ny * (y - t[0][1])) / nz; };
  }

  function first(a, b) { // depth of a less that of b where they overlap most; null when they don't
    var best = null, size = 1e-3 * Math.min(a.size, b.size);
    if (a.low[0] > b.high[0] || b.low[0] > a.high[0] || a.low[1] > b.high[1] || b.low[1] > a.high[1]) { return null; }
    a.triangles.forEach(function (s) {
      b.triangles.forEach(function (t) {
        var common = clip(s, t), much = Math.abs(area(common));
        if (common.length > 2 && much > size) { size = much; best = [s, t, common]; }
      });
    });
    if (!best) { return null; }
    var x = 0, y = 0, n = best[2].length;
    best[2].forEach(function (p) { x += p[0] / n; y += p[1] / n; });
    var off = planeOf(best[0])(x, y) - planeOf(best[1])(x, y);
    return Math.abs(off) < part.same ? a.inPlane - b.inPlane : off;
  }

  function painted(shapes) { // the farthest first
    var count = shapes.length, after = [], waiting = [], order = [], left = [];
    for (var i = 0; i < count; i += 1) { after[i] = []; waiting[i] = 0; left[i] = true; }
    for (i = 0; i < count; i += 1) {
      for (var j = i + 1; j < count; j += 1) {
        var off = first(shapes[i], shapes[j]);
        if (off) {
          var low = off < 0 ? i : j, high = off < 0 ? j : i;
          after[low].push(high);
          waiting[high] += 1;
        }
      }
    }
    while (order.length < count) {
      var pick = -1;
      [true, false].forEach(function (strict) {
        if (pick >= 0) { return; }
        for (var k = 0; k < count; k += 1) {
          if (left[k] && (!strict || !waiting[k]) && (pick < 0 || shapes[k].depth < shapes[pick].depth)) { pick = k; }
        }
      });
      left[pick] = false;
      order.push(pick);
      after[pick].forEach(function (n) { waiting[n] -= 1; });
    }
    return order;
  }

  // ---- the picture ------------------------------------------------------------------------
  function shapesOf() {
    var poses = placed(look.fraction), view = camera();
    return part.panels.map(function (panel, i) {
      var turn = times(view, poses[i].turn), shift = apply(view, poses[i].shift);
      function put(p) { return add(apply(turn, [p[0], p[1], 0]), shift); }
      var outline = panel.outline.map(put), normal = [turn[0][2], turn[1][2], turn[2][2]];
      var xs = outline.map(function (p) { return p[0]; }), ys = outline.map(function (p) { return p[1]; });
      var depth = 0;
      outline.forEach(function (p) { depth += p[2] / outline.length; });
      var seen = panel.triangles.map(function (t) { return t.map(put); });
      return {
        outline: outline, holes: panel.holes.map(function (h) { return h.map(put); }),
        triangles: seen.filter(function (t) { return Math.abs(area(t)) > 1e-6; }),
        size: Math.abs(area(outline)), normal: normal, depth: depth, mark: put(panel.mark), inPlane: 0,
        low: [Math.min.apply(null, xs), Math.min.apply(null, ys)],
        high: [Math.max.apply(null, xs), Math.max.apply(null, ys)]
      };
    });
  }

  function colour(panel, shape) {
    var n = shape.normal, inner = (n[2] > 0) === part.insideUp, flip = n[2] > 0 ? 1 : -1;
    var light = 0.78 + 0.22 * Math.max(0, flip * (-0.35 * n[0] + 0.55 * n[1] + 0.76 * n[2]));
    return "rgb(" + part.colours[panel.role][inner ? 1 : 0].map(function (c) {
      return Math.min(255, Math.round(c * light));
    }).join(",") + ")";
  }

  function hatch() {
    var tile = root.document.createElement("canvas");
    tile.width = tile.height = 6;
    var ink = tile.getContext("2d");
    ink.strokeStyle = "rgba(122,106,74,0.55)";
    ink.beginPath();
    ink.moveTo(-1, 7); ink.lineTo(7, -1); ink.moveTo(-1, 1); ink.lineTo(1, -1); ink.moveTo(5, 7); ink.lineTo(7, 5);
    ink.stroke();
    return pen.createPattern(tile, "repeat");
  }

  function draw() {
    var ratio = root.devicePixelRatio || 1, wide = canvas.clientWidth || part.width, tall = canvas.clientHeight || part.height;
    canvas.width = Math.round(wide * ratio);
    canvas.height = Math.round(tall * ratio);
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, wide, tall);
    var shapes = shapesOf(), low = [Infinity, Infinity], high = [-Infinity, -Infinity];
    part.panels.forEach(function (panel, i) {
      if (panel.target >= 0) {
        var layer = panel.target === panel.parent ? 2 : 1; // a turned-in wall covers glue flaps
        shapes[i].inPlane = (shapes[panel.target].normal[2] > 0) === part.insideUp ? layer : -layer;
      }
      [0, 1].forEach(function (k) {
        low[k] = Math.min(low[k], shapes[i].low[k]);
        high[k] = Math.max(high[k], shapes[i].high[k]);
      });
    });
    var scale = Math.min(wide, tall) * 0.94 / part.reach, order = painted(shapes), marks = [];
    scale = Math.min(scale * 1.6, 0.94 * wide / (high[0] - low[0]), 0.94 * tall / (high[1] - low[1]));
    function at(p) {
      return [wide / 2 + (p[0] - (low[0] + high[0]) / 2) * scale, tall / 2 - (p[1] - (low[1] + high[1]) / 2) * scale];
    }
    var pattern = hatch();
    pen.lineJoin = "round";
    order.forEach(function (i, place) {
      var shape = shapes[i], path = new root.Path2D();
      [shape.outline].concat(shape.holes).forEach(function (ring) {
        ring.forEach(function (p, k) {
          var q = at(p);
          if (k) { path.lineTo(q[0], q[1]); } else { path.moveTo(q[0], q[1]); }
        });
        path.closePath();
      });
      pen.fillStyle = i === marked ? "#f2c35b" : colour(part.panels[i], shape);
      pen.fill(path, "evenodd");
      faces[place] = { panel: i, path: path };
      if (part.panels[i].role === "flap") { pen.fillStyle = pattern; pen.fill(path, "evenodd"); }
      pen.strokeStyle = "#4a4238";
      pen.lineWidth = 0.9;
      pen.stroke(path);
      var spot = at(shape.mark);
      marks = marks.filter(function (m) { return !pen.isPointInPath(path, m.x * ratio, m.y * ratio, "evenodd"); });
      if (Math.sqrt(shape.size) * scale > 26) { marks.push({ x: spot[0], y: spot[1], name: part.panels[i].name }); }
    });
    pen.font = "12px 'DejaVu Sans', Verdana, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.fillStyle = "#333333";
    marks.forEach(function (m) { pen.fillText(m.name, m.x, m.y); });
    figure.setAttribute("data-order", order.map(function (i) { return part.panels[i].name; }).join(" "));
  }

  function say() {
    var percent = Math.round(look.fraction * 100);
    said.textContent = percent === 0 ? "flat" : percent === 100 ? "folded" : percent + " % folded";
    slider.setAttribute("aria-valuetext", said.textContent);
  }

  function turn(right, up) {
    look.azimuth = (look.azimuth - right) % 360;
    look.elevation = Math.max(-89, Math.min(89, look.elevation + up));
    figure.setAttribute("data-look", look.azimuth.toFixed(1) + " " + look.elevation.toFixed(1));
    draw();
  }

  // ---- pointing: whoever shows the flat part beside it is told, and tells ------------------
  figure.addEventListener("mark", function (e) { marked = e.detail; draw(); });

  function point(x, y) {
    var ratio = root.devicePixelRatio || 1, found = -1;
    faces.forEach(function (face) {
      if (pen.isPointInPath(face.path, x * ratio, y * ratio, "evenodd")) { found = face.panel; }
    });
    if (found !== marked) {
      marked = found;
      draw();
      figure.dispatchEvent(new root.CustomEvent("marked", { detail: found }));
    }
  }

  // ---- by hand and by keys ----------------------------------------------------------------
  var held = null;
  canvas.addEventListener("pointerleave", function () { if (!held) { point(-1, -1); } });
  canvas.addEventListener("pointerdown", function (e) {
    held = [e.clientX, e.clientY];
    if (canvas.setPointerCapture && e.isTrusted) { canvas.setPointerCapture(e.pointerId); }
  });
  canvas.addEventListener("pointermove", function (e) {
    if (!held && e.isTrusted) { point(e.offsetX, e.offsetY); }
    if (!held) { return; }
    turn((e.clientX - held[0]) * 0.6, (e.clientY - held[1]) * 0.6);
    held = [e.clientX, e.clientY];
  });
  ["pointerup", "pointercancel"].forEach(function (name) {
    canvas.addEventListener(name, function () { held = null; });
  });
  canvas.addEventListener("keydown", function (e) {
    var step = { ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, -10], ArrowDown: [0, 10] }[e.key];
    var fold = { "+": 0.05, "=": 0.05, "-": -0.05 }[e.key];
    if (step) { turn(step[0], step[1]); }
    if (fold) { slider.value = Number(slider.value) + 100 * fold; slider.dispatchEvent(new root.Event("input")); }
    if (e.key === "Home") { look.azimuth = part.azimuth; look.elevation = part.elevation; turn(0, 0); }
    if (step || fold || e.key === "Home") { e.preventDefault(); }
  });
  slider.addEventListener("input", function () {
    look.fraction = Number(slider.value) / 100;
    say();
    draw();
  });
  root.addEventListener("resize", draw);

  figure.querySelector(".still").hidden = true;
  figure.querySelector(".live").hidden = false;
  say();
  turn(0, 0);
  figure.setAttribute("data-ready", "yes");
}
