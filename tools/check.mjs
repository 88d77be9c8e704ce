// Everything that `npm test` checks, in one run: types, lint, then every test by kind. Ends with one
// line that says how many checks passed and failed; what could not run counts as failed.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

let passed = 0;
let failed = 0;
const count = (ok) => (ok ? passed++ : failed++);

step('Types', ['npx', 'tsc', '--noEmit']);
step('Lint and format', ['npx', 'biome', 'check']);
tests();

process.stdout.write(`\n${passed} passed, ${failed} failed\n`);
process.exit(failed === 0 ? 0 : 1);

function step(name, [command, ...args]) {
  process.stdout.write(`${name} …\n`);
  const ok = spawnSync(command, args, { stdio: 'inherit' }).status === 0;
  count(ok);
  process.stdout.write(`${name}: ${ok ? 'passed' : 'FAILED'}\n`);
}

function tests() {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-check-'));
  const report = join(folder, 'report.json');
  const args = ['vitest', 'run', '--reporter=default', '--reporter=json', `--outputFile=${report}`];
  const { status } = spawnSync('npx', args, { stdio: 'inherit' });
  if (existsSync(report)) {
    const { numPassedTests, numTotalTests, numFailedTestSuites, testResults } = JSON.parse(
      readFileSync(report, 'utf8'),
    );
    const broken = testResults.filter(
      (file) => file.status === 'failed' && file.assertionResults.length === 0,
    );
    passed += numPassedTests;
    failed += numTotalTests - numPassedTests + broken.length;
    if (status !== 0 && failed === 0) failed += Math.max(1, numFailedTestSuites);
  } else failed++;
  rmSync(folder, { recursive: true, force: true });
}
