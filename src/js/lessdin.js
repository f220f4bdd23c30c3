// Lessdin's sheets for other programs. The types and what they mean are in lessdin.d.ts.

import start, { sheets as listed, solve as solved } from './lessdin_core.js';

// More than any link that is read, in UTF-16 units: the rest of a longer text never reaches the program.
const MOST = 60_000;

let loading = null;
let loaded = false;

export default async function init(source) {
  loading ??= load(source).catch((reason) => {
    // So that it can be tried again.
    loading = null;
    throw reason;
  });
  await loading;
  loaded = true;
}

export function sheets() {
  needsInit('sheets');
  return listed();
}

export function solve(link) {
  needsInit('solve');
  if (typeof link !== 'string') {
    throw new TypeError(`solve() takes a link as text, such as "#/alone/on=46.1/off=44.9", not ${named(link)}.`);
  }
  return solved(link.slice(0, MOST));
}

async function load(source) {
  await start({ module_or_path: await content(source) });
}

async function content(source) {
  if (source instanceof ArrayBuffer || ArrayBuffer.isView(source)) {
    return source;
  }
  if (source !== undefined && typeof source !== 'string' && !(source instanceof URL)) {
    throw new TypeError(`init() takes the address or the bytes of lessdin_core_bg.wasm, or nothing, not ${named(source)}.`);
  }
  const address = source === undefined ? new URL('lessdin_core_bg.wasm', import.meta.url) : new URL(source, base());
  if (address.protocol === 'file:' && globalThis.process?.versions?.node) {
    // Node fetches no files.
    const { readFile } = await import('node:fs/promises');
    return readFile(address);
  }
  const response = await fetch(address);
  if (!response.ok) {
    throw new Error(`${address} cannot be fetched: status ${response.status}.`);
  }
  return response;
}

// What a relative address is relative to, as for fetch.
function base() {
  return globalThis.document?.baseURI ?? globalThis.location?.href ?? import.meta.url;
}

function needsInit(name) {
  if (!loaded) {
    throw new Error(`Call the module's default export and wait for it before ${name}(): it loads the program.`);
  }
}

function named(value) {
  if (value === null || value === undefined) {
    return String(value);
  }
  return Array.isArray(value) ? 'an array' : { object: 'an object', undefined: 'undefined' }[typeof value] ?? `a ${typeof value}`;
}
