// A piece in 3D, turned by mouse, finger or keys and sized by two fingers or keys. Its center of gravity is marked in
// front of everything.
const VERTEX = `#version 300 es
in vec3 at; uniform mat3 turn; uniform vec2 scale; out vec3 seen;
void main() { seen = turn * at; gl_Position = vec4(seen.xy * scale, -seen.z * 0.5, 1.0); }`;
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 seen; uniform vec3 light; uniform vec3 dark; out vec4 color;
void main() {
  vec3 n = normalize(cross(dFdx(seen), dFdy(seen)));
  float lit = 0.5 + 0.5 * abs(dot(n, normalize(vec3(0.3, 0.5, 0.8))));
  color = vec4(mix(dark, light, lit), 1.0);
}`;
const STEP = Math.PI / 24, START = [-1.1, 0.5], FITS = 0.95; // however it is turned, all of it is seen
const LEAST = FITS / 2, MOST = FITS * 16;

export async function show(box, address) {
  const canvas = box.querySelector("canvas"), mark = box.querySelector(".center");
  const gl = canvas.getContext("webgl2", { antialias: true });
  const reply = gl && await fetch(address);
  if (!reply?.ok) throw new Error(address);
  const bytes = await reply.arrayBuffer(), head = new Float32Array(bytes, 0, 4), count = head[3];
  const vertices = new Float32Array(bytes, 16, 3 * count), facets = new Uint32Array(bytes, 16 + 12 * count);
  const program = linked(gl), place = (name) => gl.getUniformLocation(program, name);
  gl.useProgram(program);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, vertices, gl.STATIC_DRAW);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, facets, gl.STATIC_DRAW);
  gl.enableVertexAttribArray(gl.getAttribLocation(program, "at"));
  gl.vertexAttribPointer(gl.getAttribLocation(program, "at"), 3, gl.FLOAT, false, 0, 0);
  gl.enable(gl.DEPTH_TEST);
  let [tilt, spin] = START, zoom = FITS;
  const fingers = new Map(); // where each finger or the mouse is

  function draw() {
    const wide = canvas.clientWidth, high = canvas.clientHeight, pixels = devicePixelRatio;
    canvas.width = wide * pixels;
    canvas.height = high * pixels;
    gl.viewport(0, 0, canvas.width, canvas.height);
    const scale = zoom * Math.min(wide, high), across = scale / wide, up = scale / high;
    const [cs, ss, ct, st] = [Math.cos(spin), Math.sin(spin), Math.cos(tilt), Math.sin(tilt)];
    const turn = [[cs, -ss, 0], [ct * ss, ct * cs, -st], [st * ss, st * cs, ct]]; // rows: right, up, to the reader
    gl.uniformMatrix3fv(place("turn"), false, [0, 1, 2].flatMap((column) => turn.map((row) => row[column])));
    gl.uniform2f(place("scale"), across, up);
    const [dark, light] = [color("--sheet"), color("--line")].sort((one, two) => one[0] - two[0]);
    gl.uniform3fv(place("light"), light);
    gl.uniform3fv(place("dark"), dark);
    gl.clearColor(...color("--shade"), 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.drawElements(gl.TRIANGLES, facets.length, gl.UNSIGNED_INT, 0);
    const [x, y] = turn.map((row) => row[0] * head[0] + row[1] * head[1] + row[2] * head[2]);
    mark.style.left = `${50 + 50 * x * across}%`;
    mark.style.top = `${50 - 50 * y * up}%`;
  }

  const sized = (times) => { zoom = Math.min(Math.max(zoom * times, LEAST), MOST); };
  const apart = () => { const [one, two] = [...fingers.values()]; return Math.hypot(one.clientX - two.clientX, one.clientY - two.clientY); };
  canvas.onpointerdown = (event) => {
    if (fingers.size < 2) fingers.set(event.pointerId, event); // a third one does nothing
    canvas.setPointerCapture(event.pointerId);
  };
  canvas.onpointermove = (event) => {
    const from = fingers.get(event.pointerId);
    if (!from) return;
    const before = fingers.size === 2 && apart();
    fingers.set(event.pointerId, event);
    if (fingers.size === 2) { // sizes it and does not turn it
      sized(Math.max(apart(), 1) / Math.max(before, 1));
    } else {
      spin += (event.clientX - from.clientX) / 120;
      tilt += (event.clientY - from.clientY) / 120;
    }
    draw();
  };
  canvas.onpointerup = canvas.onpointercancel = (event) => fingers.delete(event.pointerId);
  canvas.onkeydown = (event) => {
    const act = {
      ArrowLeft: () => { spin -= STEP; }, ArrowRight: () => { spin += STEP; },
      ArrowUp: () => { tilt -= STEP; }, ArrowDown: () => { tilt += STEP; },
      "+": () => sized(1.15), "-": () => sized(1 / 1.15), Home: () => { [tilt, spin] = START; zoom = FITS; },
    }[event.key];
    if (!act || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    act();
    draw();
  };
  new ResizeObserver(draw).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  draw();
}

function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  return program;
}

function color(name) {
  const hex = getComputedStyle(document.body).getPropertyValue(name).trim().replace(/^#(.)(.)(.)$/, "#$1$1$2$2$3$3");
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255);
}
