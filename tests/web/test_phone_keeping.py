"""What the phone keeps and sends, by the page's own modules: damaged records, hand-over files, order, parts, pages."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone

pytestmark = BROWSER
HEAD = """
const done = arguments[arguments.length - 1];
const mod = n => import(`/static/${n}.js`);
(async () => {
const NAMES = ["state/store", "state/handover", "figures/sha256", "state/identity", "state/reach", "state/saving", "state/sync"];
const [store, handover, sha, dom, ...more] = await Promise.all(NAMES.map(mod)), sync = Object.assign({}, ...more);
const idle = async () => { while (sync.state.busy) await new Promise(r => setTimeout(r, 20)); };
const sent = async () => { await idle(); await sync.sync(); await idle(); };
await idle();
"""
TAIL = "})().then(v => done(JSON.stringify(v ?? null)), e => done(JSON.stringify({failed: String(e)})));"
CLEAR = "for (const s of ['boards', 'ops', 'aside', 'pictures', 'facts']) await store.change([s], t => store.wait(t[s].clear()));"
# The network as the test wants it: each request is noted, `answer` says what comes back; nothing goes further.
NET = """
const real = window.fetch, asked = [];
window.fetch = async (url, options = {}) => {
  asked.push(`${options.method ?? "GET"} ${url.split("?")[0].replace(/[0-9a-f-]{36,64}/g, "X")}`);
  const [status, body] = answer(url, options);
  if (!status) throw new TypeError("cut off");
  return new Response(JSON.stringify(body), {status, headers: {"content-type": "application/json"}});
};
"""
EMPTY = '{boards: [], gone: [], cursor: "c", more: false, left: 0, total: 0, anew: false, holds: null, holds_tag: "t"}'
BOARD = """const board = (name, more = {}) => ({id: dom.uuid(), cells: {board: name, species: "ash", quarters: "4/4",
length: "96", width: "7"}, defects: [], edges: [], ...more});"""


def run(phone: Phone, script: str, *args: Any) -> Any:
    found = json.loads(phone.driver.execute_async_script(HEAD + CLEAR + BOARD + script + TAIL, *args))
    assert not (isinstance(found, dict) and "failed" in found), found
    return found


def test_the_digest_is_the_standards(opened: Phone) -> None:
    texts = ["", "abc", "x" * 55, "x" * 56, "x" * 64, "é" * 1000]
    found = run(opened, f"return {json.dumps(texts)}.map(t => sha.sha256(new TextEncoder().encode(t)));")
    assert found == [hashlib.sha256(t.encode()).hexdigest() for t in texts]


def test_a_damaged_record_is_set_aside_whole_and_the_rest_stays(opened: Phone) -> None:
    script = """
    const good = board("W1");
    await store.change(["boards", "ops"], async t => {
      await store.wait(t.boards.put(good));
      const damaged = [{id: "x"}, {...board("W2"), cells: null}, {...board("W3"), defects: [{x: 1}]}];
      for (const bad of damaged) await store.wait(t.boards.put(bad));
      await store.wait(t.ops.add({key: "?", board: good.id}));
    });
    const boards = await store.all("boards"), ops = await store.all("ops"), aside = await store.all("aside");
    const file = JSON.parse(await (await handover.handOver()).text());
    return {boards: boards.map(b => b.cells.board), ops: ops.length, aside: aside.length, handed: file.aside.length};
    """
    assert run(opened, script) == {"boards": ["W1"], "ops": 0, "aside": 4, "handed": 4}
    # The page opens with what is sound.
    opened.driver.refresh()
    opened.go("Rack")
    opened.says("W1")


NO_FILES = ["", "{", "[]", '{"format": "other"}', '{"format": "yieldopt-handover/1", "boards": null, "ops": 5}']


@pytest.mark.parametrize("text", NO_FILES)
def test_a_file_that_is_none_changes_nothing_but_what_is_set_aside(opened: Phone, text: str) -> None:
    script = f"""
    let said = "";
    try {{ await handover.takeIn({json.dumps(text)}); }} catch (x) {{ said = x.message; }}
    return {{said, boards: (await store.all("boards")).length, ops: (await store.all("ops")).length}};
    """
    found = run(opened, script)
    assert (found["boards"], found["ops"]) == (0, 0)
    assert ("not a file of boards" in found["said"]) == ("handover" not in text)


def test_of_a_damaged_file_what_is_whole_is_taken_in(opened: Phone) -> None:
    script = (
        """
    const answer = () => [0];
    """
        + NET
        + """
    try {
      const good = board("W1"), op = {key: dom.uuid(), board: good.id, base: null, cells: good.cells, defects: [], edges: []};
      const tick = {key: dom.uuid(), tick: {plan: "p", board: "W1", plan_number: "0", cut: 1, was: "planned", state: "done"}};
      const boards = [good, {...board("W2"), cells: 7}], ops = [op, {...op, key: 5}, tick, null];
      const said = await handover.takeIn(JSON.stringify({format: handover.FORMAT, boards, ops}));
      await handover.takeIn(JSON.stringify({format: handover.FORMAT, boards, ops: [op, tick]}));
      return {said, ops: (await store.all("ops")).length, boards: (await store.all("boards")).map(b => b.cells.board)};
    } finally { window.fetch = real; }
    """
    )
    found = run(opened, script)
    assert found["said"] == {"boards": 1, "ticks": 1, "photos": 0, "aside": 3}
    assert (found["ops"], found["boards"]) == (2, ["W1"])


def test_boards_and_ticks_go_before_photos_and_a_photo_goes_on_where_it_broke_off(opened: Phone) -> None:
    script = f"""
    let there = 0, cut = true;
    const mine = board("W1", {{version: "v"}}), size = 100000, digests = new Set();
    const answer = (url, options) => {{
      if (url.includes("/photos/")) {{
        digests.add(url.split("/photos/")[1].split("?")[0]);
        if (!options.method) return [200, {{have: there, board: null}}];
        const q = new URLSearchParams(url.split("?")[1]);
        if (Number(q.get("at")) !== there) return [409, {{error: "elsewhere", have: there}}];
        there += options.body.size;
        if (cut && there > 60000) {{ cut = false; return [0]; }}
        return [200, {{have: there, board: there === size ? mine : null}}];
      }}
      if (url.startsWith("/api/rack")) return [200, {EMPTY}];
      if (url.startsWith("/api/boards")) return [200, {{...other, version: "w"}}];
      return [200, []];
    }};
    const other = board("W2");
    {NET}
    try {{
      await store.change(["boards", "ops"], async t => {{
        await store.wait(t.boards.put(mine));
        const photo = new Blob([new Uint8Array(size)]), {{cells, defects, edges}} = other;
        await store.wait(t.ops.add({{board: mine.id, photo, name: "a.jpg", key: dom.uuid(), sent: false}}));
        await store.wait(t.ops.add({{board: other.id, key: dom.uuid(), base: null, cells, defects, edges, sent: false}}));
      }});
      await sent();
      const first = asked.slice(), sofar = there;
      await sent();
      const puts = asked.filter(a => a.startsWith("PUT") && a.includes("photos")).length;
      return {{first, sofar, there, left: (await store.all("ops")).length, digests: [...digests], puts}};
    }} finally {{ window.fetch = real; }}
    """
    found = run(opened, script)
    assert found["first"][0] == "PUT /api/boards/X"
    assert found["first"][1] == "GET /api/boards/X/photos/X"
    assert 60000 < found["sofar"] < 100000
    assert (found["there"], found["left"]) == (100000, 0)
    # Each byte but those of the answer that was lost went once.
    assert found["puts"] <= 5
    assert found["digests"] == [hashlib.sha256(bytes(100000)).hexdigest()]


@pytest.mark.parametrize(("status", "words"), [(507, "there is no room left on the disk"), (503, "the disk is read-only")])
def test_the_reason_why_changes_wait_is_there_to_be_shown(opened: Phone, status: int, words: str) -> None:
    script = f"""
    const mine = board("W1"), answer = () => [{status}, {{error: {json.dumps(words)}}}];
    {NET}
    try {{
      await sync.saveBoard(mine);
      await sent();
      return {{refusal: sync.state.refusal, left: (await store.all("ops")).length}};
    }} finally {{ window.fetch = real; }}
    """
    assert run(opened, script) == {"refusal": words, "left": 1}


def test_the_rack_is_read_in_pages_that_survive_a_break_and_what_is_gone_goes(opened: Phone) -> None:
    script = f"""
    const all = Array.from({{length: 5}}, (_, n) => board(`N${{n}}`, {{version: "v"}}));
    const stale = board("OLD", {{version: "v"}}), own = board("MINE");
    let broken = true; const coming = [];
    const answer = url => {{
      if (!url.startsWith("/api/rack")) return [200, []];
      const after = new URLSearchParams(url.split("?")[1]).get("after"), n = after === "" ? 0 : Number(after);
      if (n === 2 && broken) {{ broken = false; return [0]; }}
      if (n === 1) return [200, {{junk: true}}];
      const boards = all.slice(n, n + 2), left = Math.max(0, 5 - n - 2);
      return [200, {{boards, gone: [], cursor: String(n + 2), more: left > 0, left, total: 5, anew: false,
        holds: left ? null : [{{job: "a chest", who: "Ida", boards: [all[0].id]}}], holds_tag: "t"}}];
    }};
    {NET}
    sync.onChange(() => {{ if (sync.state.coming) coming.push(sync.state.coming.have); }});
    try {{
      await store.change(["boards"], async t => {{ for (const b of [stale, own]) await store.wait(t.boards.put(b)); }});
      await sent();
      const half = (await store.all("boards")).map(b => b.cells.board).sort();
      await sent();
      const whole = (await store.all("boards")).map(b => b.cells.board).sort(), holds = await store.fact("holds", {{}});
      return {{half, whole, coming, held: Object.keys(holds).length && holds[all[0].id].job}};
    }} finally {{ window.fetch = real; }}
    """
    found = run(opened, script)
    assert found["half"] == ["MINE", "N0", "N1", "OLD"]
    assert found["whole"] == ["MINE", "N0", "N1", "N2", "N3", "N4"]
    assert found["coming"][:2] == [2, 4]
    assert found["held"] == "a chest"
