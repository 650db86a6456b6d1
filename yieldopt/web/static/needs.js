// What a phone can rule out by itself. Each test is necessary: one that fails proves something is missing, passing proves nothing.
import {inches} from "./lengths.js";
const nominal = q => { const m = /^(\d+)\/4$/.exec(q ?? ""); return m ? Number(m[1]) / 4 : inches(q) ?? 0; };
export function wood(b) {
  const c = b.cells, length = inches(c.length) ?? 0, widths = b.edges.map(e => inches(e.far) - inches(e.near)), width = widths.length ? Math.max(...widths) : inches(c.width) ?? 0;
  let area = length * width;
  if (b.edges.length) { const p = b.edges.map(e => [inches(e.x), inches(e.far) - inches(e.near)]).sort((a, z) => a[0] - z[0]), q = [[0, p[0][1]], ...p, [length, p.at(-1)[1]]];
    area = q.slice(1).reduce((s, r, i) => s + (r[0] - q[i][0]) * (r[1] + q[i][1]) / 2, 0); }
  const thick = nominal(c.quarters);
  return {name: c.board, species: (c.species ?? "").toLowerCase(), length, width, area, nominal: thick, thickness: inches(c.thickness) ?? thick, ends: {both: 0, datum: 1, far: 1}[c.sound_ends] ?? 2, tested: c.stress === "tested", resaw: c.stress !== "no resaw"};
}
export const feet = w => w.area * w.nominal / 144;
export function cost(b) { const c = b.cells, w = wood(b); return c.cost ? Number(c.cost) : c.price_bf ? feet(w) * Number(c.price_bf) : c.price_m3 ? w.area * w.nominal * 0.000016387064 * Number(c.price_m3) : null; }
const SLACK = 1e-6;
export function missing(job, boards) {
  const stock = boards.map(wood), out = [], fits = (w, t) => w.thickness + SLACK >= t + 2 * job.face;
  const layers = (w, t) => { let n = 0; while (n < 64) { const m = n + 1, need = m * t + 2 * job.face + (m > 1 ? n * (job.resaw + 2 * job.sawn_face) + (w.tested ? 0 : m * job.resaw_spare) : 0); if (need > w.thickness + SLACK || (m > 1 && !w.resaw)) break; n = m; } return n; };
  for (const p of job.parts) {
    const of = stock.filter(w => w.species === p.species && (!p.from.length || p.from.includes(w.name)));
    const thick = of.filter(w => fits(w, p.thickness)), usable = w => w.length - w.ends * job.board_end;
    if (!thick.length) out.push(`${p.part}: no ${p.species} thick enough`);
    else if (!thick.some(w => p.ways.some(([l]) => usable(w) + SLACK >= l))) out.push(`${p.part}: nothing long enough`);
    else if (!thick.some(w => p.ways.some(([l, b]) => usable(w) + SLACK >= l && w.width + SLACK >= b))) out.push(`${p.part}: nothing long enough is wide enough`);
  }
  for (const species of new Set(job.parts.map(p => p.species))) for (const t of new Set(job.parts.filter(p => p.species === species).map(p => p.thickness))) {
    const need = job.parts.filter(p => p.species === species && p.thickness >= t).reduce((s, p) => s + p.qty * p.area, 0);
    const have = stock.filter(w => w.species === species).reduce((s, w) => s + w.area * layers(w, t), 0);
    if (need > have + SLACK) out.push(`${species} for parts ${t}" and thicker: ${(need / 144).toFixed(1)} square feet wanted, ${(have / 144).toFixed(1)} here`);
  }
  return out;
}
