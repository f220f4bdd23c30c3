// lessdin.d.ts against what is really handed over: the compiler refuses a key too many as well as one that is missing.

import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { copyFile, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { links, loaded, part } from './house.mjs';

const COMPILER = fileURLToPath(new URL('../node_modules/typescript/bin/tsc', import.meta.url));

async function compiled(source) {
  const own = await mkdtemp(join(tmpdir(), 'lessdin-types-'));
  try {
    await copyFile(part('lessdin.d.ts'), join(own, 'lessdin.d.ts'));
    await writeFile(join(own, 'use.ts'), source);
    const options = ['--noEmit', '--strict', '--target', 'es2022', '--module', 'esnext', '--moduleResolution', 'bundler', '--lib', 'es2024,dom'];
    return spawnSync(process.execPath, [COMPILER, ...options, join(own, 'use.ts')], { encoding: 'utf8' }).stdout;
  } finally {
    await rm(own, { recursive: true });
  }
}

test('real results fit the types, key by key', async () => {
  const { sheets, solve } = await loaded();
  const more = ['', '#/elsewhere', '#/alone/on=x', '#/alone/on=46dBA/off=44dBC', '#/tally/source=a~level=40/source=b~level=loud', '#/louder/before=1.234,5'];
  const asked = [...(await links('golden/links.txt')).map(([link]) => link), ...more];
  const results = asked.map((link, at) => `export const result${at}: Solved = ${JSON.stringify(solve(link))};`);
  const source = `import type { Sheet, Solved } from './lessdin.js';
export const listed: Sheet[] = ${JSON.stringify(sheets())};
${results.join('\n')}
`;
  assert.equal(await compiled(source), '');
});

test('the functions are typed: right use passes, wrong use does not', async () => {
  const right = `import init, { sheets, solve } from './lessdin.js';
await init();
await init('program.wasm');
await init(new URL('https://host.example/program.wasm'));
await init(new Uint8Array(8));
await init(new ArrayBuffer(8));
const ids: string[] = sheets().map((sheet) => sheet.id);
const solved = solve(ids[0] ?? '');
const known: (number | null)[] = solved.values.map((value) => value.value);
export default known;
`;
  assert.equal(await compiled(right), '');
  const wrong = `import init, { solve } from './lessdin.js';
await init(7);
solve(7);
const known: number[] = solve('#/alone').values.map((value) => value.value);
if (solve('#/alone').outcome === 'answered') console.log(known);
`;
  const lines = (await compiled(wrong)).match(/use\.ts\((\d+)/g).map((line) => Number(line.slice(7)));
  assert.deepEqual([...new Set(lines)], [2, 3, 4, 5]);
});

test('every function is in the types', async () => {
  const types = await readFile(part('lessdin.d.ts'), 'utf8');
  const module = await loaded();
  const named = [...types.matchAll(/^export (default )?function (\w+)/gm)].map(([, first, name]) => (first ? 'default' : name));
  assert.deepEqual(named.sort(), Object.keys(module).sort());
});
