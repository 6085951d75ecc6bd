// node drive.mjs drive|distrust URL FOLDER PIDS [PICTURES]   VS Code (code-server) at URL, in
// the system's Chromium, with the packaged extension. FOLDER holds house.weir
// and other.weir, copies of testdata/house.weir; PIDS is the file to which the
// server's program writes its process. distrust opens the folder as one that is
// not trusted. The first thing that goes wrong ends it.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const require = createRequire(process.env.NODE_MODULES_OF ?? import.meta.url);
const { chromium } = require('playwright-core');
const [way, url, folder, pids, pictures] = process.argv.slice(2);
const mended = readFileSync(new URL('../../testdata/house.mended.weir', import.meta.url), 'utf8');

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
const page = await browser.newPage({ viewport: { width: 1360, height: 860 } });
page.setDefaultTimeout(20_000);
let step = 'start';

const say = (what) => console.log(`ok vscode: ${what}`);
const picture = async (name) => pictures && page.screenshot({ path: join(pictures, `${name}.png`) });
const until = async (what, condition, ms = 20_000) => {
  step = what;
  for (const end = Date.now() + ms; Date.now() < end; await page.waitForTimeout(50)) if (await condition()) return;
  throw new Error(`not reached: ${what}`);
};
const equal = (what, got, want) => {
  if (JSON.stringify(got) !== JSON.stringify(want)) throw new Error(`${what}: ${JSON.stringify(got)}, not ${JSON.stringify(want)}`);
};

const squiggles = () => page.locator('.monaco-editor .squiggly-error').count();
const rows = async () => (await page.locator('.markers-panel .monaco-list-row').allInnerTexts()).map((text) => text.replace(/\s+/g, ' '));
const lines = async () => (await page.locator('.monaco-editor .view-line').allInnerTexts()).map((text) => text.replace(/\u00a0/g, ' '));
const running = () => readFileSync(pids, 'utf8').trim().split('\n').filter(Boolean);

async function command(name) {
  await page.keyboard.press('F1');
  await page.locator('.quick-input-widget input').fill(`>${name}`);
  await page.locator('.quick-input-list .monaco-list-row', { hasText: name }).first().waitFor();
  await page.keyboard.press('Enter');
  await page.locator('.quick-input-widget').waitFor({ state: 'hidden' });
}

async function goTo(line, column) {
  await page.locator('.monaco-editor .view-lines').first().click();
  await page.keyboard.press('Control+G');
  await page.locator('.quick-input-widget input').fill(`:${line}:${column}`);
  await page.keyboard.press('Enter');
  await page.locator('#status\\.editor\\.selection', { hasText: `Ln ${line},` }).waitFor();
}

// the characters under each squiggle, by the places of the letters above it
async function underlined() {
  return page.evaluate(() => {
    const range = document.createRange();
    const letters = [];
    for (const line of document.querySelectorAll('.monaco-editor .view-line')) {
      const walker = document.createTreeWalker(line, NodeFilter.SHOW_TEXT);
      for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        for (let i = 0; i < node.data.length; i++) {
          range.setStart(node, i);
          range.setEnd(node, i + 1);
          letters.push([node.data[i], range.getBoundingClientRect()]);
        }
      }
    }
    const under = (s) => ([, b]) => Math.abs(b.top - s.top) < 10 && b.left + b.width / 2 > s.left && b.left + b.width / 2 < s.right;
    return [...document.querySelectorAll('.monaco-editor .squiggly-error')].map((s) => s.getBoundingClientRect()).sort((a, b) => a.top - b.top)
      .map((s) => letters.filter(under(s)).map(([letter]) => letter).join('').replace(/\u00a0/g, ' '));
  });
}

async function drive() {
  const start = Date.now();
  await page.goto(url);
  await page.locator('.explorer-folders-view .monaco-list-row', { hasText: 'house.weir' }).waitFor({ timeout: 60_000 });
  console.log(`   vscode: the workbench stands after ${Date.now() - start} ms`);

  step = 'icon, language and colours';
  await page.locator('.explorer-folders-view .monaco-list-row', { hasText: 'house.weir' }).dblclick();
  await page.locator('.monaco-editor .view-line').first().waitFor();
  await page.locator('#status\\.editor\\.mode', { hasText: /^Weir$/ }).waitFor();
  await until('colours', async () => (await page.evaluate(() => new Set([...document.querySelectorAll('.monaco-editor .view-line span span')].map((s) => s.className)).size)) >= 5);
  say('language and colours');

  await until('two squiggles', async () => (await squiggles()) === 2);
  await until('hints and a lens', async () => /fall 1\/4/.test((await lines()).join('\n')) && /3 fixtures/.test(await page.locator('.codelens-decoration').first().innerText()));
  equal('under the squiggles', await underlined(), ['cieling', 'east 4\'6"']);
  await page.keyboard.press('Control+Shift+M');
  const listed = (message) => async () => (await rows()).some((row) => message.test(row));
  await until('the first problem', listed(/^unknown word `cieling`.* crownweir unknown-word \[Ln 11, Col 23\]/));
  await until('the second problem', listed(/^trap arm of K𝐒.* crownweir long-trap-arm \[Ln 24, Col 31\]/));
  await until('what it rests on', listed(/house\.weir \[Ln 25, Col 6\] : vent taken off here/));
  await picture('findings');
  say(`findings under their words, after ${Date.now() - start} ms`);

  step = 'the status';
  await page.locator('#status\\.languageStatus').hover();
  await page.locator('.hover-language-status', { hasText: /crownweir|running/i }).waitFor();
  await picture('status');
  await page.keyboard.press('Escape');
  say('the state of the server');

  step = 'an edit';
  await goTo(24, 31);
  await page.keyboard.press('Shift+End');
  await page.keyboard.type("east 3'");
  await until('one squiggle after the edit', async () => (await squiggles()) === 1);
  say('an edit mends a finding');

  step = 'a hover';
  await goTo(17, 14);
  await page.keyboard.press('Control+K');
  await page.keyboard.press('Control+I');
  const hover = page.locator('.monaco-hover:not(.hidden)', { hasText: 'not an approval' }).first();
  await hover.waitFor();
  equal('the hover', /lavatory/.test(await hover.innerText()), true);
  await picture('hover');
  await page.keyboard.press('Escape');
  say('a hover');

  step = 'a fix';
  await goTo(11, 25);
  await page.keyboard.press('Control+.');
  await page.locator('.action-widget .monaco-list-row.focused', { hasText: 'ceiling' }).waitFor();
  await picture('fix');
  await page.keyboard.press('Enter');
  await until('the fix', async () => (await lines()).includes("room powder on ground ceiling 8'"));
  await until('no squiggle after the fix', async () => (await squiggles()) === 0);
  say('a fix');

  step = 'the layout';
  await goTo(24, 6);
  await page.keyboard.press('Control+Shift+I');
  await until('the plan, laid out and saved', async () => {
    await page.keyboard.press('Control+S');
    return readFileSync(join(folder, 'house.weir'), 'utf8') === mended;
  });
  equal('the cursor', await page.locator('#status\\.editor\\.selection').innerText(), 'Ln 24, Col 6');
  say('laid out, the cursor in its place, saved');

  step = 'comment and snippet';
  await goTo(12, 1);
  await page.keyboard.press('Control+/');
  await until('a comment', async () => (await lines()).includes('# room kitchen on ground'));
  await page.keyboard.press('Control+/');
  await until('no comment', async () => (await lines()).includes('room kitchen on ground'));
  say('comments');

  step = 'the restart';
  const before = running();
  await goTo(24, 31);
  await page.keyboard.press('Shift+End');
  await page.keyboard.type('east 4\'6"');
  await until('a squiggle again', async () => (await squiggles()) === 1);
  await command('Weir: Restart Language Server');
  await until('another process', async () => running().length === before.length + 1);
  await until('the squiggle of the new server', async () => (await squiggles()) === 1);
  say('the server restarts');

  await command('Weir: Check All Plans of the Workspace');
  await page.locator('.terminal-outer-container, .integrated-terminal').first().waitFor();
  await until('three problems', async () => (await page.locator('#status\\.problems').innerText()).trim().startsWith('3'));
  await picture('terminal');
  await command('Problems: Focus on Problems View');
  await until('the problems of a plan that is not open', async () => {
    const all = await rows();
    return all.filter((row) => /\.weir \d+$/.test(row)).sort().join() === 'house.weir 1,other.weir 2' && all.some((row) => /^trap arm of K𝐒.*crownweir long-trap-arm \[Ln 24, Col 30\]/.test(row));
  });
  await picture('workspace');
  say('plans that are not open are checked');

  step = 'the output';
  await command('Weir: Show Output of Language Server');
  await page.locator('.panel .action-item.checked', { hasText: /^output/i }).waitFor();
  say('the output');
}

// A folder that names a program of its own, and is not trusted: that program
// must not run, and plans are judged by the installed one all the same.
async function distrust() {
  step = 'the question';
  await page.goto(url);
  await page.locator('.monaco-dialog-box', { hasText: 'trust' }).getByRole('button', { name: /^No/ }).click({ timeout: 60_000 });
  await page.locator('.explorer-folders-view .monaco-list-row', { hasText: 'house.weir' }).dblclick();
  await until('two squiggles', async () => (await squiggles()) === 2);
  equal('the server that was started', running().map((line) => line.replace(/^\d+ ?/, '')), ['']);
  await picture('distrust');
  say('a folder that is not trusted names no program');

  step = 'the trust';
  await command('Workspaces: Manage Workspace Trust');
  await page.locator('.workspace-trust-editor').getByRole('button', { name: /^Trust$/ }).first().click();
  await until("the folder's own program", async () => running().some((line) => / named by the folder$/.test(line)));
  say('once it is trusted, it does');
}

let failed = false;
try {
  await (way === 'distrust' ? distrust() : drive());
} catch (error) {
  failed = true;
  console.log(`FAIL vscode: ${step}: ${String(error).split('\n').slice(0, 6).join(' ')}`);
  console.log(`   problems: ${JSON.stringify(await rows().catch(() => []))}`);
  await picture('failed').catch(() => {});
}
await browser.close();
process.exit(failed ? 1 : 0);
