// node protocol.mjs PROGRAM   the server by the protocol library that VS Code
// is built on: a second reading of the wire, apart from the server's own.
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(process.env.NODE_MODULES_OF ?? import.meta.url);
const { createProtocolConnection, StreamMessageReader, StreamMessageWriter } = require('vscode-languageserver-protocol/node');

const program = process.argv[2];
const house = readFileSync(new URL('../../testdata/house.weir', import.meta.url), 'utf8');
const mended = readFileSync(new URL('../../testdata/house.mended.weir', import.meta.url), 'utf8');
const work = mkdtempSync(join(tmpdir(), 'weir-protocol-'));
const file = join(work, 'a house#1 100%.weir');
writeFileSync(file, house);
const uri = pathToFileURL(file).href;
const sleep = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });
const within = (ms, promise) => Promise.race([promise, sleep(ms)]);

let failed = 0;
function ok(condition, what, seen) {
  console.log(`${condition ? 'ok' : 'FAIL'} protocol: ${what}${condition ? '' : `: ${JSON.stringify(seen)}`}`);
  if (!condition) failed++;
}

async function start(over = {}) {
  const child = spawn(program, ['lsp'], { stdio: ['pipe', 'pipe', 'pipe'] });
  const server = { child, published: new Map(), stderr: '', asked: [] };
  child.stderr.on('data', (data) => { server.stderr += data; });
  server.ended = new Promise((resolve) => { child.on('exit', (code, signal) => resolve({ code, signal })); });
  const connection = createProtocolConnection(new StreamMessageReader(child.stdout), new StreamMessageWriter(child.stdin));
  connection.onNotification('textDocument/publishDiagnostics', (p) => server.published.set(p.uri, [...(server.published.get(p.uri) ?? []), p]));
  connection.onRequest((method) => { server.asked.push(method); return null; });
  connection.onError(() => {});
  connection.listen();
  server.request = (method, params) => connection.sendRequest(method, params);
  server.notify = (method, params) => connection.sendNotification(method, params);
  server.latest = (of = uri) => server.published.get(of)?.at(-1);
  server.until = async (condition, ms = 10_000) => {
    for (const end = Date.now() + ms; Date.now() < end; await sleep(10)) if (condition()) return true;
    return false;
  };
  server.initialized = await server.request('initialize', { processId: process.pid, rootUri: pathToFileURL(work).href, capabilities: {}, ...over });
  await server.notify('initialized', {});
  return server;
}

function words(text, { range: { start, end } }) {
  // JavaScript's strings count in UTF-16 units, as the protocol does unless told otherwise
  return text.split('\n')[start.line].slice(start.character, end.character);
}

function applied(text, edits) {
  const offset = ({ line, character }) => text.split('\n').slice(0, line).reduce((n, l) => n + l.length + 1, 0) + character;
  return edits
    .map((edit) => ({ from: offset(edit.range.start), to: offset(edit.range.end), text: edit.newText }))
    .sort((a, b) => b.from - a.from)
    .reduce((out, edit) => out.slice(0, edit.from) + edit.text + out.slice(edit.to), text);
}

async function walkThrough() {
  const server = await start({ capabilities: { textDocument: { publishDiagnostics: { versionSupport: true }, codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ['', 'quickfix', 'source', 'source.fixAll'] } } } } } });
  let text = house;
  let version = 1;
  ok(server.initialized.serverInfo.name === 'crownweir', 'the server says its name', server.initialized.serverInfo);
  ok(server.initialized.capabilities.positionEncoding === 'utf-16', 'UTF-16 unless asked for another', server.initialized.capabilities);
  server.notify('textDocument/didOpen', { textDocument: { uri, languageId: 'weir', version, text } });
  await server.until(() => server.latest()?.diagnostics.length === 2);
  const found = server.latest()?.diagnostics ?? [];
  ok(server.latest()?.uri === uri, 'the address is the one that was sent', [...server.published.keys()]);
  ok(JSON.stringify(found.map((d) => words(text, d))) === JSON.stringify(['cieling', 'east 4\'6"']), 'findings under their words', found);
  ok(found[1]?.code === 'long-trap-arm' && found[1]?.source === 'crownweir' && server.latest().version === 1, 'rule, source and version', found[1]);

  const change = (range, to) => {
    version++;
    text = applied(text, [{ range, newText: to }]);
    return server.notify('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ range, text: to }] });
  };
  change(found[1].range, "east 3'");
  await server.until(() => server.latest().version === version && server.latest().diagnostics.length === 1);
  ok(server.latest().version === version && server.latest().diagnostics.length === 1, 'an edit mends a finding', server.latest());

  const hover = await server.request('textDocument/hover', { textDocument: { uri }, position: { line: 16, character: 14 } });
  ok(/lavatory[\s\S]*not an approval/.test(hover?.contents.value), 'a hover', hover);

  const diagnostics = server.latest().diagnostics;
  const actions = await server.request('textDocument/codeAction', { textDocument: { uri }, range: diagnostics[0].range, context: { diagnostics, only: ['quickfix'] } }).catch(String);
  const fix = Array.isArray(actions) ? actions.find((a) => a.title.includes('ceiling')) : undefined;
  ok(fix?.kind === 'quickfix', 'a fix is offered', actions);
  for (const edit of fix?.edit?.changes?.[uri] ?? fix?.edit?.documentChanges?.[0]?.edits ?? []) change(edit.range, edit.newText);
  await server.until(() => server.latest().version === version && server.latest().diagnostics.length === 0, 3000);
  ok(server.latest().diagnostics.length === 0, 'the fix mends its finding', server.latest());

  const edits = await server.request('textDocument/formatting', { textDocument: { uri }, options: { tabSize: 2, insertSpaces: true } }).catch(String);
  ok(Array.isArray(edits) && applied(text, edits) === mended, 'laid out as the program does', edits);
  ok(Array.isArray(edits) && edits.length === 1 && edits[0].range.start.line === 8 && edits[0].range.end.line <= 9, 'only the line that is laid out otherwise', edits);

  const unknown = await server.request('textDocument/noSuchThing', {}).catch((error) => error);
  ok(unknown.code === -32601, 'an unknown request is refused', unknown);
  server.notify('$/noSuchThing', {});
  server.notify('workspace/didChangeConfiguration', { settings: null });
  server.notify('$/cancelRequest', { id: 99999 });
  ok(await server.request('textDocument/hover', { textDocument: { uri }, position: { line: 16, character: 14 } }), 'strange notifications are let pass');

  for (let i = 0; i < 2000; i++) change({ start: { line: 23, character: 36 }, end: { line: 23, character: 36 } }, '');
  change({ start: { line: 3, character: 0 }, end: { line: 3, character: 0 } }, '# 🚰 ');
  await server.until(() => server.latest().version === version);
  ok(server.latest().version === version, `2,000 edits at once settle (${server.published.get(uri).length} lists of findings)`, server.latest().version);

  server.notify('textDocument/didClose', { textDocument: { uri } });
  await server.until(() => server.latest().diagnostics.length === 0, 2000);
  ok(server.latest().diagnostics.length === 0, 'a closed plan has no findings', server.latest());
  ok(server.asked.length === 0, 'nothing is asked that was not offered', server.asked);
  await server.request('shutdown');
  server.notify('exit');
  const ended = await within(2000, server.ended);
  ok(ended?.code === 0, 'ends with 0 after shutdown and exit', ended);
  ok(server.stderr === '', 'nothing on stderr', server.stderr);
}

async function endings() {
  let server = await start();
  server.notify('exit');
  ok((await within(2000, server.ended))?.code === 1, 'ends with 1 at exit without shutdown');
  server = await start();
  server.child.stdin.end();
  ok(await within(2000, server.ended), 'ends when its input closes');
  const parent = spawn('sleep', ['1']);
  server = await start({ processId: parent.pid });
  await new Promise((resolve) => { parent.on('exit', resolve); });
  ok(await within(12_000, server.ended), 'ends when the editor is gone');
  server.child.kill();
}

async function encodings() {
  const text = house.split('\n')[23];
  const at = text.indexOf("east 4'6\"");
  const columns = { 'utf-8': Buffer.byteLength(text.slice(0, at)), 'utf-16': at, 'utf-32': [...text.slice(0, at)].length };
  for (const [encoding, column] of Object.entries(columns)) {
    const server = await start({ capabilities: { general: { positionEncodings: [encoding, 'utf-16'] } } });
    server.notify('textDocument/didOpen', { textDocument: { uri, languageId: 'weir', version: 1, text: house } });
    await server.until(() => server.latest()?.diagnostics.length === 2);
    const got = server.latest()?.diagnostics[1].range.start.character;
    ok(server.initialized.capabilities.positionEncoding === encoding && got === column, `columns in ${encoding}`, { got, column });
    await server.request('shutdown');
    server.notify('exit');
    await within(2000, server.ended);
  }
}

await walkThrough();
await encodings();
await endings();
rmSync(work, { recursive: true });
process.exit(failed > 0 ? 1 : 0);
