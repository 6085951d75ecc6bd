// node colours.mjs BAT   the Sublime syntax as bat reads it, over the sample.
// A theme that gives each scope a colour of its own tells which one it took.
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { compare, golden, looks, report, sample } from '../../testdata/colours.mjs';

const bat = process.argv[2] ?? 'batcat';
const work = mkdtempSync(join(tmpdir(), 'weir-sublime-'));
try {
  const colour = (i) => `#0000${(16 + i).toString(16).padStart(2, '0')}`;
  const rule = (scope, foreground) => `<dict><key>scope</key><string>${scope}</string><key>settings</key><dict><key>foreground</key><string>${foreground}</string></dict></dict>`;
  mkdirSync(join(work, 'src/syntaxes'), { recursive: true });
  mkdirSync(join(work, 'src/themes'));
  copyFileSync(new URL('../Weir.sublime-syntax', import.meta.url).pathname, join(work, 'src/syntaxes/Weir.sublime-syntax'));
  writeFileSync(join(work, 'src/themes/telling.tmTheme'), `<?xml version="1.0" encoding="UTF-8"?>
<plist version="1.0"><dict><key>name</key><string>telling</string><key>settings</key><array>
<dict><key>settings</key><dict><key>foreground</key><string>#000000</string></dict></dict>
${looks.map((l, i) => rule(`${l.scope}.weir`, colour(i))).join('\n')}
</array></dict></plist>`);
  execFileSync(bat, ['cache', '--build', '--blank', '--source', join(work, 'src'), '--target', join(work, 'out')], { stdio: ['ignore', 'ignore', 'inherit'] });
  const printed = execFileSync(bat, ['--plain', '--paging=never', '--color=always', '--theme=telling', '--language=Weir', '--tabs=0', sample], {
    env: { ...process.env, BAT_CACHE_PATH: join(work, 'out'), COLORTERM: 'truecolor', BAT_CONFIG_PATH: '/dev/null' }, encoding: 'utf8',
  });
  const found = [[]];
  let now = '';
  for (const [, code, char] of printed.matchAll(/\x1b\[([0-9;]*)m|([\s\S])/gu)) {
    if (char === '\n') found.push([]);
    else if (char !== undefined) found.at(-1).push(now);
    else if (/^38;2;/.test(code)) now = looks[Number(code.split(';')[4]) - 16]?.class ?? '';
    else now = '';
  }
  report('Sublime syntax (bat)', [compare('colours.weir', readFileSync(sample, 'utf8'), readFileSync(golden, 'utf8'), found)]);
} finally {
  rmSync(work, { recursive: true });
}
