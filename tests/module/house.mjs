// What the tests share: where the module is, and what the program holds in memory.

import { cp, readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

/** The folder `cargo module` filled. */
export const folder = pathToFileURL(`${resolve(process.env.LESSDIN_MODULE ?? 'target/module')}/`);

/** The address of a file of the module. */
export const part = (name) => new URL(name, folder);

/** Copies the module into another folder. */
export const copied = (to) => cp(folder, to, { recursive: true });

/** The bytes of the program. */
export const program = () => readFile(part('lessdin_core_bg.wasm'));

/** The module, loaded. */
export async function loaded() {
  const module = await import(part('lessdin.js'));
  await module.default(await program());
  return module;
}

/** How much the program holds: bytes of memory, and objects of JavaScript it keeps. */
export async function held() {
  const core = await import(part('lessdin_core.js'));
  // Loading again only hands over what is loaded.
  const inside = await core.default();
  const tables = Object.values(inside).filter((it) => it instanceof WebAssembly.Table);
  return { memory: inside.memory.buffer.byteLength, tables: tables.map((table) => table.length) };
}

/** The links of a list, one to a line, its headline after ` => `. */
export async function links(list) {
  const text = await readFile(new URL(list, new URL('../', import.meta.url)), 'utf8');
  return text.split('\n').filter((line) => line.startsWith('#/')).map((line) => line.split(' => '));
}
