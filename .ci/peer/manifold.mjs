// Reads a binary STL file with manifold-3d and prints area, volume, the
// volumes of its convex hull and of a band, the girths of sections, and how long each took.
//
//   node manifold.mjs PACKAGE FILE STATIONS
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';

const [home, path, stations] = process.argv.slice(2);
const { default: Module } = await import(pathToFileURL(home + '/manifold.js'));
const wasm = await Module();
wasm.setup();
const { Manifold, Mesh } = wasm;
const n = Number(stations);

let began = performance.now();
const lap = (what) => {
  console.log(`time ${what} ${((performance.now() - began) / 1000).toFixed(6)}`);
  began = performance.now();
};

const data = readFileSync(path);
const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
const triangles = view.getUint32(80, true);
const vertProperties = new Float32Array(9 * triangles);
let low = Infinity, high = -Infinity;
for (let t = 0; t < triangles; t++) {
  for (let k = 0; k < 9; k++) {
    const x = view.getFloat32(84 + 50 * t + 12 + 4 * k, true);
    vertProperties[9 * t + k] = x;
    if (k % 3 === 2) { low = Math.min(low, x); high = Math.max(high, x); }
  }
}
const triVerts = Uint32Array.from({ length: 3 * triangles }, (_, i) => i);
const mesh = new Mesh({ numProp: 3, vertProperties, triVerts });
mesh.merge();
const solid = new Manifold(mesh);
lap('load');
const girths = [], loops = [];
for (let i = 0; i < n; i++) {
  const section = solid.slice(low + (i + 0.5) * (high - low) / n);
  let girth = 0;
  const lines = section.toPolygons();
  for (const line of lines) {
    for (let k = 0; k < line.length; k++) {
      const a = line[k], b = line[(k + 1) % line.length];
      girth += Math.hypot(a[0] - b[0], a[1] - b[1]);
    }
  }
  girths.push(girth);
  loops.push(lines.length);
  section.delete();
}
lap('sections');
const area = solid.surfaceArea(), volume = solid.volume();
lap('measure');
const hullVolume = solid.hull().volume();
lap('hull');
const below = solid.trimByPlane([0, 0, -1], -(low + 0.5 * (high - low)));
const band = below.trimByPlane([0, 0, 1], low + 0.4 * (high - low));
const bandVolume = band.volume();
lap('band');
console.log(`area ${area}\nvolume ${volume}\nhull ${hullVolume}\nband ${bandVolume}`);
girths.forEach((g, i) => console.log(`girth${i} ${g}\nloops${i} ${loops[i]}`));
