// The examples of README.md say what really comes.

import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { copied } from './house.mjs';

test('each example prints what its comments say', async () => {
  const readme = await readFile(new URL('../../README.md', import.meta.url), 'utf8');
  const examples = [...readme.matchAll(/^```js\n(.*?)^```$/gms)].map(([, code]) => code);
  assert.ok(examples.length > 0);
  for (const code of examples) {
    const own = await mkdtemp(join(tmpdir(), 'lessdin-example-'));
    try {
      await copied(own);
      await writeFile(join(own, 'example.mjs'), code);
      const ran = spawnSync(process.execPath, [join(own, 'example.mjs')], { encoding: 'utf8' });
      assert.equal(ran.stderr, '');
      const said = [...code.matchAll(/console\.log\(.*\); \/\/ (.*)$/gm)].map(([, words]) => words);
      assert.ok(said.length > 0);
      assert.deepEqual(ran.stdout.replaceAll('\u202f', ' ').trimEnd().split('\n'), said);
    } finally {
      await rm(own, { recursive: true });
    }
  }
});
