// What a record must look like before it is kept or shown: whatever comes from a file, from the rack, or from this phone's own memory.
const ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const plain = v => typeof v === "object" && v !== null && !Array.isArray(v);
const text = v => typeof v === "string", maybe = (v, is) => v === undefined || v === null || is(v);
const words = v => plain(v) && Object.values(v).every(text), list = (v, is) => Array.isArray(v) && v.every(is);
const fields = b => words(b.cells) && list(b.defects, words) && list(b.edges, words);
const photo = p => plain(p) && text(p.name) && text(p.digest);
export const board = b => plain(b) && text(b.id) && ID.test(b.id) && fields(b) && maybe(b.version, text) && maybe(b.photos, v => list(v, photo)) && maybe(b.own, v => list(v, o => o === null || text(o)));
const tick = t => plain(t) && text(t.plan) && text(t.board) && /^\d{1,4}$/.test(t.plan_number) && maybe(t.found, words);
const trouble = t => plain(t) && Number.isInteger(t.status) && maybe(t.theirs, board);
export const op = o => plain(o) && text(o.key) && ID.test(o.key) && maybe(o.trouble, trouble) && (o.tick !== undefined ? tick(o.tick) : text(o.board) && ID.test(o.board) && (o.photo !== undefined ? o.photo instanceof Blob && maybe(o.name, text) : fields(o) && maybe(o.base, text)));
const picture = p => plain(p) && text(p.name) && p.blob instanceof Blob;
const hold = h => plain(h) && text(h.job) && text(h.who) && list(h.boards, text);
export const news = n => plain(n) && list(n.boards, board) && list(n.gone, text) && text(n.cursor) && typeof n.more === "boolean" && Number.isInteger(n.left) && Number.isInteger(n.total) && maybe(n.holds, v => list(v, hold)) && text(n.holds_tag);
// By store: what is read there and does not fit is set aside.
export const RECORDS = {boards: board, ops: op, pictures: picture};
// A remembered answer of another kind than what stands in for it is as good as none.
export const like = (v, otherwise) => otherwise === undefined || otherwise === null || (typeof v === typeof otherwise && v !== null && Array.isArray(v) === Array.isArray(otherwise));
