// Makes a checkout ready to run: packages installed, driver compiled, sources built. Does nothing
// where all of that is so. Everything it says goes to standard error, since standard output belongs
// to the command that follows. With --test it also brings the programs that the tests need.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);
const forTests = process.argv.includes('--test');

const [major, minor] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  fail(`Sunsteep needs Node 20.19 or later; this is ${process.version}`);
}
const unlock = waitForTurn();
install();
compileDriver();
build();
unlock();
if (forTests) bringTestPrograms();

/** Two at once would take each other's packages away; one that was killed is not waited for. */
function waitForTurn() {
  const lock = at('.ready.tmp');
  for (let told = false; ; ) {
    try {
      writeFileSync(lock, String(process.pid), { flag: 'wx' });
      process.on('exit', () => rmSync(lock, { force: true }));
      return () => rmSync(lock, { force: true });
    } catch (error) {
      if (error.code !== 'EEXIST') fail(`${root} cannot be written: ${error.message}`);
    }
    if (!runs(Number(read(lock)))) rmSync(lock, { force: true });
    else if (!told) {
      say('Waiting for another start that is getting this checkout ready …');
      told = true;
    }
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 200);
  }
}

function runs(pid) {
  if (!pid) return true; // it has just made the file
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
}

function install() {
  const stamp = at('node_modules', '.installed-from');
  const wanted = hashOf([at('package.json'), at('package-lock.json')]);
  if (read(stamp) === wanted) return;
  say('Installing packages; the store’s driver may be compiled, which takes a minute or two …');
  run('npm', ['ci', '--no-audit', '--no-fund', '--loglevel=error']);
  writeFileSync(stamp, wanted);
}

/** A driver that was compiled for another Node does not load. */
function compileDriver() {
  const loads = () =>
    spawnSync(process.execPath, ['-e', "new (require('better-sqlite3'))(':memory:')"], {
      cwd: root,
    }).status === 0;
  const stamp = at('node_modules', '.driver-for');
  const wanted = `${process.version} ${process.arch} ${read(at('node_modules', '.installed-from'))}`;
  if (read(stamp) === wanted) return;
  if (!loads()) {
    say('Compiling the store’s driver for this Node …');
    run('npm', ['rebuild', 'better-sqlite3', '--loglevel=error']);
    if (!loads())
      fail('better-sqlite3 cannot be compiled: install python3, make and g++, then try again');
  }
  writeFileSync(stamp, wanted);
}

function build() {
  const sources = ['model', 'collector-service', 'web'].flatMap((folder) => filesBelow(at(folder)));
  const wanted = hashOf([
    ...sources,
    at('package-lock.json'),
    at('tsconfig.json'),
    at('tsconfig.build.json'),
  ]);
  if (read(at('dist', '.built-from')) === wanted) return;
  say('Building …');
  const next = at(`dist.${process.pid}.tmp`);
  run(process.execPath, [bin('typescript', 'tsc'), '-p', 'tsconfig.build.json', '--outDir', next]);
  run(process.execPath, [
    bin('vite', 'vite'),
    'build',
    'web',
    '--outDir',
    join(next, 'web'),
    '--emptyOutDir',
    '--logLevel',
    'warn',
  ]);
  writeFileSync(join(next, '.built-from'), wanted);
  const old = at(`dist.${process.pid}.old.tmp`);
  if (existsSync(at('dist'))) renameSync(at('dist'), old);
  renameSync(next, at('dist'));
  rmSync(old, { recursive: true, force: true });
}

function bringTestPrograms() {
  const needed = {
    chromium: 'chromium',
    curl: 'curl',
    mosquitto: 'mosquitto',
    mosquitto_pub: 'mosquitto-clients',
  };
  const missing = Object.entries(needed)
    .filter(([program]) => !has(program))
    .map(([, aPackage]) => aPackage);
  if (missing.length === 0) return;
  const line = `The tests need ${missing.join(', ')}: apt-get install ${missing.join(' ')}`;
  if (!has('apt-get') || process.getuid?.() !== 0) {
    say(line);
    return;
  }
  say(`Installing ${missing.join(', ')} …`);
  const options = {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  };
  spawnSync('apt-get', ['update', '-qq'], options);
  if (spawnSync('apt-get', ['install', '-y', '-qq', ...missing], options).status !== 0) say(line);
}

function has(program) {
  const folders = `${process.env.PATH}:/usr/sbin`.split(':');
  return folders.some((folder) => existsSync(join(folder, program)));
}

function bin(aPackage, name) {
  const manifest = JSON.parse(read(at('node_modules', aPackage, 'package.json')));
  return at(
    'node_modules',
    aPackage,
    typeof manifest.bin === 'string' ? manifest.bin : manifest.bin[name],
  );
}

function run(command, args) {
  const { status } = spawnSync(command, args, { cwd: root, stdio: ['ignore', 2, 2] });
  if (status !== 0)
    fail(`${command} ${args.slice(0, 2).join(' ')} failed; what it said stands above`);
}

function filesBelow(folder) {
  return readdirSync(folder, { withFileTypes: true })
    .flatMap((entry) =>
      entry.isDirectory() ? filesBelow(join(folder, entry.name)) : [join(folder, entry.name)],
    )
    .sort();
}

function hashOf(files) {
  const hash = createHash('sha256');
  for (const file of files)
    hash.update(file.slice(root.length)).update('\0').update(readFileSync(file));
  return hash.digest('hex');
}

function read(file) {
  return existsSync(file) ? readFileSync(file, 'utf8') : null;
}

function say(line) {
  process.stderr.write(`${line}\n`);
}

function fail(line) {
  say(line);
  process.exit(1);
}
