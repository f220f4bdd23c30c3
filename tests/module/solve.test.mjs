// What the two functions hand over.

import assert from 'node:assert/strict';
import { before, test } from 'node:test';
import { held, links, loaded } from './house.mjs';

let sheets;
let solve;
before(async () => {
  ({ sheets, solve } = await loaded());
});

const narrow = (text) => text.replaceAll('\u202f', ' ');
const value = (solved, id) => solved.values.find((one) => one.id === id);
const close = (found, wanted, within) => assert.ok(Math.abs(found - wanted) <= within, `${found} is not ${wanted} ± ${within}`);

// Objects, arrays, text, finite numbers, booleans and null; no negative zero.
function plain(it, where = 'it') {
  if (typeof it === 'number') {
    assert.ok(Number.isFinite(it) && !Object.is(it, -0), `${where} is ${it}`);
  } else if (it !== null && typeof it === 'object') {
    assert.ok(Array.isArray(it) || Object.getPrototypeOf(it) === Object.prototype, `${where} is not plain`);
    Object.entries(it).forEach(([key, inner]) => plain(inner, `${where}.${key}`));
  } else {
    assert.ok(it === null || ['string', 'boolean'].includes(typeof it), `${where} is a ${typeof it}`);
  }
}

const UNITS = new Set('dB phon sone 1 money money/dB m s m/s rad 1/s Hz 1/m 1/rad m³/s Pa N·m kg·m² W A V Ω H'.split(' '));

function sound(solved) {
  plain(solved);
  assert.ok(solved.headline.length > 0);
  assert.equal(solved.outcome === 'answer', solved.values.length > 0);
  assert.equal(solved.outcome === 'impossible', solved.impossible !== null);
  for (const list of [solved.values, solved.tables]) {
    assert.equal(new Set(list.map((one) => one.id)).size, list.length, `ids twice: ${list.map((one) => one.id)}`);
  }
  const cells = solved.tables.flatMap((table) => {
    table.rows.forEach((row) => assert.equal(row.cells.length, table.columns.length, table.id));
    return table.rows.flatMap((row) => row.cells.map((cell) => cell.amount).filter((amount) => amount !== null));
  });
  for (const amount of [...solved.values, ...cells]) {
    assert.ok(UNITS.has(amount.unit), amount.unit);
    assert.equal(amount.value !== null, ['exact', 'atMost', 'atLeast'].includes(amount.bound));
    assert.equal(amount.low !== null && amount.high !== null, amount.bound === 'between');
    assert.ok(amount.plusMinus95 === null || amount.plusMinus95 >= 0);
    assert.equal(amount.weighting !== null, amount.quantity === 'level');
  }
}

test('every sheet lists what it asks for', () => {
  const all = sheets();
  plain(all);
  assert.ok(all.length >= 5);
  assert.equal(new Set(all.map((sheet) => sheet.id)).size, all.length);
  const range = (field) => {
    assert.match(field.key, /^[a-z][a-z0-9]*$/);
    if (field.min !== null) {
      assert.ok(field.min < field.max, field.key);
      assert.ok(UNITS.has(field.unit), field.key);
      assert.ok(field.written.length > 0, field.key);
      assert.ok(field.default === null || (field.default >= field.min && field.default <= field.max), field.key);
    }
    assert.equal(field.choices !== null, field.kind === 'choice');
    assert.ok(field.kind !== 'choice' || field.choices.some((choice) => choice.key === field.default), field.key);
  };
  for (const sheet of all) {
    assert.ok(sheet.title.endsWith('?'), sheet.title);
    assert.ok(sheet.cautions.length > 0 && sheet.limits.length > 0);
    [...sheet.fields, ...sheet.conditions, ...sheet.tables.flatMap((table) => table.fields)].forEach(range);
  }
});

test('limits and defaults of fields are in SI units, whatever links are written in', () => {
  const axis = sheets().find((sheet) => sheet.id === 'steps').tables.find((table) => table.key === 'axis');
  const column = (key) => axis.fields.find((field) => field.key === key);
  close(column('angle').default, (1.8 * Math.PI) / 180, 1e-15);
  assert.equal(column('ruler').default, 0.0005);
  assert.deepEqual(column('pitch').written.map((unit) => [unit.id, unit.factor]), [['mm', 0.001], ['in', 0.0254]]);
  assert.equal(column('now').kind, 'count');
  assert.deepEqual(column('pitch').when, { key: 'drive', values: ['belt', 'screw'] });
});

test('every example and every link ever published has its answer', async () => {
  for (const sheet of sheets()) {
    const solved = solve(sheet.example);
    sound(solved);
    assert.equal(solved.outcome, 'answer', sheet.id);
    assert.equal(solved.sheet, sheet.id);
    assert.equal(solved.link, sheet.example);
    assert.deepEqual([solved.errors, solved.missing, solved.impossible], [[], [], null]);
  }
  for (const [link, headline] of await links('golden/links.txt')) {
    const solved = solve(link);
    sound(solved);
    assert.equal(narrow(solved.headline), narrow(headline));
    assert.equal(solve(solved.link).link, solved.link);
  }
});

test('levels and their ± come unrounded', () => {
  const solved = solve('#/alone/on=46.1/off=38.1');
  close(value(solved, 'drop').value, 8, 1e-12);
  // Subtraction of energies; the ± of a difference of two readings of ± 0.5 dB.
  close(value(solved, 'alone').value, 10 * Math.log10(10 ** 4.61 - 10 ** 3.81), 1e-9);
  close(value(solved, 'drop').plusMinus95, Math.SQRT1_2, 1e-9);
  assert.deepEqual([value(solved, 'alone').grade, value(solved, 'alone').bound, value(solved, 'alone').weighting], ['solid', 'exact', 'A']);
});

test('a bound is told from a value, and nothing known from a number', () => {
  const bound = value(solve('#/alone/on=46.1/off=44.9'), 'alone');
  assert.deepEqual([bound.bound, bound.grade, bound.plusMinus95], ['atMost', 'bound', null]);
  const levels = solve('#/alone/on=46.1/off=44.9').tables.find((table) => table.id === 'levels');
  assert.equal(levels.rows.at(-1).cells[1].amount.bound, 'atMost');
  const nothing = value(solve('#/swap/ear=0.5/back=30.5/fan=fan~level=38.2/option=new~level=22~at=1'), 'air');
  assert.deepEqual([nothing.bound, nothing.value, nothing.low, nothing.high], ['unknown', null, null, null]);
});

test('steps come per metre and rates in hertz', () => {
  const solved = solve('#/steps/axis=X~pitch=2~teeth=20~now=16~after=64~speed=250');
  // 200 full steps and 64 microsteps a turn, 40 mm a turn; 0.25 m/s.
  const steps = solved.values.find((one) => one.quantity === 'stepsPerLength');
  assert.deepEqual([steps.value, steps.unit, steps.bound], [(200 * 64) / 0.04, '1/m', 'exact']);
  const rate = value(solved, 'rate');
  close(rate.value, ((200 * 64) / 0.04) * 0.25, 1e-6);
  assert.equal(rate.unit, 'Hz');
});

test('wrong, missing and impossible are told with their address', () => {
  const wrong = solve('#/tally/source=a~level=40/source=b~level=loud');
  sound(wrong);
  assert.deepEqual(wrong.errors.map((error) => error.at), [{ table: 'source', row: 2, key: 'level' }]);
  assert.match(wrong.errors[0].text, /loud/);

  const missing = solve('#/alone/on=44');
  sound(missing);
  assert.deepEqual([missing.outcome, missing.missing], ['waiting', [{ table: null, row: null, key: 'off' }]]);

  const both = solve('#/alone/on=500/off=');
  sound(both);
  assert.deepEqual(both.errors.map((error) => error.at.key), ['on']);
  assert.deepEqual(both.missing.map((at) => at.key), ['off']);

  const mixed = solve('#/alone/on=46dBA/off=44dBC');
  sound(mixed);
  assert.equal(mixed.outcome, 'impossible');
  assert.deepEqual(mixed.impossible.fields.map((at) => at.key), ['on', 'off']);
});

test('what is no text is refused with a sentence', () => {
  const others = [undefined, null, 7, NaN, 7n, true, {}, [], new String('#/alone'), Symbol('x'), () => '#/alone', new URL('https://host.example/#/alone')];
  for (const other of others) {
    assert.throws(() => solve(other), (reason) => reason instanceof TypeError && /^solve\(\) takes a link as text, such as "#\/alone.+, not .+\.$/.test(reason.message));
  }
  assert.throws(() => solve(null), /not null\./);
  assert.throws(() => solve(7), /not a number\./);
  assert.throws(() => solve(), /not undefined\./);
});

test('any text gets an object that says what is wrong', () => {
  const million = (piece) => piece.repeat(Math.ceil(1e6 / piece.length)).slice(0, 1e6);
  const hostile = [
    '', '#', '#/', '/', 'alone', '#/elsewhere', '#/ALONE', '#/__proto__', '#/constructor/on=1', '#/alone/__proto__=1/toString=2',
    '#/alone/on', '#/alone/on=%', '#/alone/on=%FF%FE', '#/alone/on=1e999/off=-1e999', '#/alone/on=NaN/off=Infinity', '#/alone/on=\u0000/off=\uffff',
    '#/alone/on=\ud800/off=\udfff', '#/alone/v99999999999999999999', '#/alone/v7/on=44/off=41', '#/alone/on=44/on=45/off=1',
    '#/alone/on=\u202e44/off=٤٤', '#/alone/part=<script>/on=44/off=31', '#/tally/source', '#/tally/source=/source=~~~/source=~=~=',
    `#/tally${'/source=a~level=1'.repeat(500)}`, `#/steps${'/axis=X~pitch=0~teeth=0~now=0'.repeat(9)}`, `#/${'/'.repeat(5000)}`,
    million('a'), million('#/alone/on=44/off=31/'), million('/'), million('%'), million('🙂'), million('\ud800'),
    `#/alone/on=44/off=31/part=${million('x')}`, `#/tally/source=${million('~level=40')}`,
  ];
  for (const link of hostile) {
    const solved = solve(link);
    sound(solved);
    const said = solved.notes.length + solved.errors.length + solved.missing.length;
    assert.ok(said > 0 || solved.outcome === 'answer', link.slice(0, 60));
    if (solved.sheet === null) {
      assert.deepEqual([solved.link, solved.outcome, solved.notes.at(-1).kind], [null, 'waiting', 'link']);
    }
  }
});

test('random damage to the examples never stops it', () => {
  // Park and Miller's generator, so that a failure comes again.
  let seed = 20_260_101;
  const random = (below) => {
    seed = (seed * 48_271) % 2_147_483_647;
    return seed % below;
  };
  const pieces = ['/', '~', '=', '%', '.', ',', '-', '0', '9', 'e9', '1e308', 'NaN', '#', 'é', '\u0000', 'source', 'axis', 'v', ' '];
  for (const { example } of sheets()) {
    for (let round = 0; round < 400; round += 1) {
      let link = example;
      for (let times = random(4) + 1; times > 0; times -= 1) {
        const at = random(link.length + 1);
        link = link.slice(0, at) + pieces[random(pieces.length)] + link.slice(at + random(6));
      }
      sound(solve(link));
    }
  }
});

test('ten thousand calls in a row hold no more memory than the first ones', async () => {
  const round = [...sheets().map((sheet) => sheet.example), '#/elsewhere', '#/alone/on=x', 'x'.repeat(100_000), '#/alone/on=46dBA/off=44dBC'];
  const calls = (count) => {
    for (let call = 0; call < count; call += 1) {
      solve(round[call % round.length]);
      if (call % 100 === 0) {
        sheets();
        assert.throws(() => solve(call), TypeError);
      }
    }
  };
  calls(200);
  const first = await held();
  calls(10_000);
  assert.deepEqual(await held(), first);
});
