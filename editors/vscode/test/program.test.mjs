// Where the extension looks for the program, and what it says where none is.
import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import test from 'node:test';

const { find } = createRequire(import.meta.url)('../src/program.js');

function looked(over, ...there) {
  return find({ setting: '', extensionPath: '/ext', env: { PATH: '/usr/bin:/opt/bin' }, home: '/home/u', platform: 'linux', canRun: (file) => there.includes(file), ...over });
}

test('the bundled program goes before the PATH', () => {
  assert.deepEqual(looked({}, '/ext/bin/crownweir', '/usr/bin/crownweir'), { program: '/ext/bin/crownweir' });
  assert.deepEqual(looked({}, '/opt/bin/crownweir'), { program: '/opt/bin/crownweir' });
});

test('the setting goes before both and never falls back', () => {
  assert.deepEqual(looked({ setting: '/my/crownweir' }, '/my/crownweir', '/ext/bin/crownweir'), { program: '/my/crownweir' });
  assert.deepEqual(looked({ setting: '~/bin/crownweir' }, '/home/u/bin/crownweir'), { program: '/home/u/bin/crownweir' });
  assert.deepEqual(looked({ setting: 'crownweir-next' }, '/opt/bin/crownweir-next'), { program: '/opt/bin/crownweir-next' });
  assert.match(looked({ setting: '/my/crownweir' }, '/ext/bin/crownweir').problem, /no program is there/);
  assert.match(looked({ setting: 'crownweir-next' }, '/ext/bin/crownweir').problem, /on the PATH/);
  assert.match(looked({ setting: 'bin/crownweir' }, 'bin/crownweir').problem, /write the whole path/);
});

test('a relative folder of the PATH is not looked into', () => {
  assert.match(looked({ env: { PATH: '.:bin:' } }, 'crownweir', 'bin/crownweir').problem, /was not found/);
  assert.match(looked({ env: {} }).problem, /weir\.server\.path/);
});

test('Windows', () => {
  const windows = { platform: 'win32', extensionPath: 'C:\\ext', env: { Path: 'C:\\bin;D:\\bin' }, home: 'C:\\u' };
  assert.deepEqual(looked(windows, 'C:\\ext\\bin\\crownweir.exe'), { program: 'C:\\ext\\bin\\crownweir.exe' });
  assert.deepEqual(looked(windows, 'D:\\bin\\crownweir.exe'), { program: 'D:\\bin\\crownweir.exe' });
  assert.deepEqual(looked({ ...windows, setting: 'crownweir' }, 'D:\\bin\\crownweir.exe'), { program: 'D:\\bin\\crownweir.exe' });
  assert.deepEqual(looked({ ...windows, setting: 'D:\\x\\c.exe' }, 'D:\\x\\c.exe'), { program: 'D:\\x\\c.exe' });
});
