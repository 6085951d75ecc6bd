// Starts the language server for plans, shows its state, and restarts it. What
// a plan means is the server's alone.
'use strict';
const fs = require('node:fs');
const os = require('node:os');
const vscode = require('vscode');
const { LanguageClient, State, RevealOutputChannelOn } = require('vscode-languageclient/node');
const program = require('./program');
const check = require('./check');

let client;
let output;
let status;
let turn = Promise.resolve(); // starts and stops follow one another

exports.activate = async (context) => {
  output = vscode.window.createOutputChannel('Crownweir');
  status = vscode.languages.createLanguageStatusItem('weir.server', { language: 'weir' });
  status.name = 'Crownweir';
  status.command = { command: 'weir.showOutput', title: 'Show output' };
  const find = () => found(context);
  const restart = () => inTurn(async () => {
    await stop();
    await start(context);
  });
  context.subscriptions.push(
    output,
    status,
    vscode.commands.registerCommand('weir.restartServer', restart),
    vscode.commands.registerCommand('weir.showOutput', () => output.show(true)),
    vscode.commands.registerCommand('weir.checkWorkspace', () => checkWorkspace(find)),
    vscode.tasks.registerTaskProvider('crownweir', check.provider(() => find().program)),
    vscode.workspace.onDidChangeConfiguration((change) => change.affectsConfiguration('weir.server') && restart()),
    vscode.workspace.onDidGrantWorkspaceTrust(restart),
  );
  await inTurn(() => start(context));
};

exports.deactivate = () => inTurn(stop);

function inTurn(work) {
  turn = turn.then(work, work);
  return turn;
}

function found(context) {
  return program.find({
    setting: vscode.workspace.getConfiguration('weir').get('server.path').trim(),
    extensionPath: context.extensionPath,
    env: process.env,
    home: os.homedir(),
    platform: process.platform,
    canRun,
  });
}

function canRun(file) {
  try {
    fs.accessSync(file, fs.constants.X_OK);
    return fs.statSync(file).isFile();
  } catch {
    return false;
  }
}

async function start(context) {
  const { program: command, problem } = found(context);
  if (problem) {
    show('not found', problem, vscode.LanguageStatusSeverity.Error);
    complain(problem);
    return;
  }
  const args = ['lsp', ...vscode.workspace.getConfiguration('weir').get('server.args')];
  const options = {
    // by language and not by scheme: unsaved plans are judged too
    documentSelector: [{ language: 'weir' }],
    outputChannel: output,
    revealOutputChannelOn: RevealOutputChannelOn.Never,
    initializationFailedHandler: () => false,
  };
  const starting = new LanguageClient('weir', 'Crownweir', { command, args }, options);
  client = starting;
  starting.onDidChangeState(({ newState }) => {
    if (client !== starting) return;
    if (newState === State.Starting) show('starting', command, vscode.LanguageStatusSeverity.Information, true);
    if (newState === State.Running) show(version(starting), command, vscode.LanguageStatusSeverity.Information);
    if (newState === State.Stopped) show('stopped', command, vscode.LanguageStatusSeverity.Warning);
  });
  try {
    await starting.start();
    show(version(starting), command, vscode.LanguageStatusSeverity.Information);
  } catch (error) {
    output.appendLine(String(error));
    show('did not start', command, vscode.LanguageStatusSeverity.Error);
    complain(`${command} did not start as a language server; plans are not judged`);
  }
}

async function stop() {
  const running = client;
  client = undefined;
  try {
    await running?.dispose(2000);
  } catch (error) {
    output.appendLine(String(error)); // it had ended by itself
  }
}

function version(running) {
  const info = running.initializeResult?.serverInfo;
  return info?.version ? `${info.name} ${info.version}` : 'running';
}

function show(text, detail, severity, busy = false) {
  Object.assign(status, { text, detail, severity, busy });
}

async function complain(problem) {
  const chosen = await vscode.window.showErrorMessage(problem, 'Open Settings', 'Show Output');
  if (chosen === 'Open Settings') await vscode.commands.executeCommand('workbench.action.openSettings', 'weir.server.path');
  if (chosen === 'Show Output') output.show(true);
}

async function checkWorkspace(find) {
  const { program: command, problem } = find();
  if (problem) {
    complain(problem);
    return;
  }
  for (const folder of vscode.workspace.workspaceFolders ?? []) await vscode.tasks.executeTask(check.task(folder, '.', command));
}
