"use strict";
// The 3D view, of the catalogue and of the bench page: one canvas, one model at a time, drawn only
// when something moved. Where library and models come from, and what is said, the page tells it.
const turningView = ({ canvas, said, turnButton, resetButton, library, words }) => {
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const START = { yaw: -0.62, tip: 0.4, zoom: 1 };
  let T, renderer, scene, camera, part, turning = false, last = 0, frame = 0;
  let pose = { ...START };

  async function ready() {
    if (T) return true;
    let found;
    try {
      found = await library();
      renderer = new found.WebGLRenderer({ canvas, antialias: true, alpha: true });
    } catch {
      return false;
    }
    T = found;
    scene = new T.Scene();
    camera = new T.PerspectiveCamera(26, 2, 0.1, 5000);
    scene.add(new T.HemisphereLight(0xffffff, 0x8d8a80, 1.6), camera);
    for (const [x, y, z, force] of [[-3, 5, 4, 2.2], [5, 1, 3, 0.9]]) {
      const light = new T.DirectionalLight(0xffffff, force);
      light.position.set(x, y, z);
      camera.add(light);
    }
    part = new T.Group();
    scene.add(part);
    new ResizeObserver(draw).observe(canvas);
    return true;
  }

  function numbers(text) {
    const raw = atob(text), bytes = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
    return Uint16Array.from({ length: bytes.length / 2 }, (_, i) => bytes[2 * i] | (bytes[2 * i + 1] << 8));
  }

  function clear() {
    if (!part) return;
    for (const child of [...part.children]) {
      child.geometry.dispose();
      child.material.dispose();
      part.remove(child);
    }
  }

  function show(data) {
    clear();
    const points = Float32Array.from(numbers(data.points), (n, i) => n * data.step + data.low[i % 3]);
    const shape = new T.BufferGeometry();
    shape.setAttribute("position", new T.BufferAttribute(points, 3));
    shape.setIndex(new T.BufferAttribute(numbers(data.triangles), 1));
    shape.rotateY(Math.PI / 2); // the part's axis lies along the picture, its nose to the right
    shape.center();
    shape.computeBoundingSphere();
    part.userData.radius = shape.boundingSphere.radius;
    const steel = new T.MeshStandardMaterial({
      color: 0xb4bac0, metalness: 0.25, roughness: 0.45, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    const edges = new T.LineBasicMaterial({ color: 0x23262b, transparent: true, opacity: 0.45 });
    part.add(new T.Mesh(T.toCreasedNormals(shape, 0.6), steel));
    part.add(new T.LineSegments(new T.EdgesGeometry(shape, 33), edges));
    shape.dispose();
    said.textContent = data.plain ? words.plain : "";
    draw();
  }

  function draw() {
    if (!frame) frame = requestAnimationFrame(paint);
  }

  function paint(now) {
    frame = 0;
    if (!T || !part.children.length || !canvas.clientWidth) return;
    if (turning) {
      pose.yaw += Math.min(now - last, 50) * 0.0007;
      draw();
    }
    last = now;
    const w = canvas.clientWidth, h = canvas.clientHeight;
    renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    renderer.setSize(w, h, false);
    camera.aspect = w / h;
    const half = Math.tan((camera.fov * Math.PI) / 360);
    camera.position.set(0, 0, (1.04 * part.userData.radius) / (half * Math.min(1, w / h * 0.62)) / pose.zoom / 1.6);
    camera.updateProjectionMatrix();
    part.rotation.set(pose.tip, pose.yaw, 0);
    renderer.render(scene, camera);
  }

  function turn(on) {
    turning = on;
    turnButton.setAttribute("aria-pressed", String(on));
    draw();
  }

  function move(yaw, tip, zoom = 1) {
    turn(false);
    pose.yaw += yaw;
    pose.tip = Math.max(-1.5, Math.min(1.5, pose.tip + tip));
    pose.zoom = Math.max(0.5, Math.min(8, pose.zoom * zoom));
    draw();
  }

  const KEYS = {
    ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15],
    "+": [0, 0, 1.2], "=": [0, 0, 1.2], "-": [0, 0, 1 / 1.2],
  };
  canvas.addEventListener("keydown", (e) => {
    if (!KEYS[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    move(...KEYS[e.key]);
  });
  const fingers = new Map();
  canvas.addEventListener("pointerdown", (e) => {
    canvas.setPointerCapture(e.pointerId);
    fingers.set(e.pointerId, [e.clientX, e.clientY]);
  });
  canvas.addEventListener("pointermove", (e) => {
    const from = fingers.get(e.pointerId);
    if (!from) return;
    const to = [e.clientX, e.clientY];
    const other = [...fingers].find(([id]) => id !== e.pointerId);
    fingers.set(e.pointerId, to);
    if (!other) return move((to[0] - from[0]) * 0.009, (to[1] - from[1]) * 0.009);
    const gap = (p) => Math.hypot(p[0] - other[1][0], p[1] - other[1][1]);
    move(0, 0, gap(to) / Math.max(1, gap(from)));
  });
  for (const name of ["pointerup", "pointercancel"])
    canvas.addEventListener(name, (e) => fingers.delete(e.pointerId));
  canvas.addEventListener("wheel", (e) => {
    e.preventDefault();
    move(0, 0, Math.exp(-e.deltaY * 0.0012));
  }, { passive: false });
  turnButton.addEventListener("click", () => turn(!turning));
  resetButton.addEventListener("click", () => {
    pose = { ...START };
    turn(false);
  });

  return {
    show,
    clear,
    ready,
    begin() {
      pose = { ...START };
      turn(!still.matches);
    },
    close() {
      turn(false);
      clear();
    },
    // A browser keeps few of these at once.
    dispose() {
      turn(false);
      clear();
      renderer?.dispose();
      renderer?.forceContextLoss();
      T = renderer = part = undefined;
    },
  };
};
