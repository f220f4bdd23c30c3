// Loading: from an address, from bytes, and what is said when it cannot be.

import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { copied, part, program } from './house.mjs';

const copies = [];

// A module of its own each time: the same file is loaded once only.
async function fresh() {
  const own = await mkdtemp(join(tmpdir(), 'lessdin-module-'));
  copies.push(own);
  await copied(own);
  return import(pathToFileURL(join(own, 'lessdin.js')));
}

after(() => Promise.all(copies.map((copy) => rm(copy, { recursive: true }))));

async function served(run) {
  const bytes = await program();
  const server = createServer((request, response) => {
    const there = request.url === '/program.wasm';
    response.writeHead(there ? 200 : 404, { 'content-type': 'application/wasm' }).end(there ? bytes : '');
  });
  await new Promise((ready) => server.listen(0, '127.0.0.1', ready));
  try {
    await run(`http://127.0.0.1:${server.address().port}/`);
  } finally {
    server.closeAllConnections();
    server.close();
  }
}

const works = (module) => assert.equal(module.sheets()[0].id, module.solve(module.sheets()[0].example).sheet);

test('without anything said, the program beside it is loaded', async () => {
  const module = await fresh();
  await module.default();
  works(module);
});

test('from an address over http, as text and as URL', async () => {
  await served(async (root) => {
    for (const address of [`${root}program.wasm`, new URL('program.wasm', root)]) {
      const module = await fresh();
      await module.default(address);
      works(module);
    }
  });
});

test('from a file address', async () => {
  const module = await fresh();
  await module.default(part('lessdin_core_bg.wasm'));
  works(module);
});

test('from bytes: a typed array, and its buffer', async () => {
  const bytes = new Uint8Array(await program());
  for (const source of [bytes, bytes.buffer]) {
    const module = await fresh();
    await module.default(source);
    works(module);
  }
});

test('loading twice, and twice at once, does nothing more', async () => {
  const module = await fresh();
  const bytes = await program();
  await Promise.all([module.default(bytes), module.default(bytes)]);
  await module.default();
  works(module);
});

test('what is neither is refused in words, and can be put right', async () => {
  const module = await fresh();
  for (const source of [7, null, {}, [], true, Symbol('x'), () => {}]) {
    await assert.rejects(module.default(source), (reason) => reason instanceof TypeError && /^init\(\) takes the address or the bytes/.test(reason.message));
  }
  await assert.rejects(module.default(new Uint8Array([1, 2, 3])), WebAssembly.CompileError);
  await served((root) => assert.rejects(module.default(`${root}elsewhere.wasm`), /cannot be fetched: status 404/));
  assert.throws(() => module.sheets(), /Call the module's default export/);
  assert.throws(() => module.solve('#/alone'), /Call the module's default export/);
  await module.default(await program());
  works(module);
});
