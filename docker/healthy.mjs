// Whether the service in this container serves. Asked of itself, by a name that is in no certificate.
const { SUNSTEEP_PORT: port = '8080', SUNSTEEP_TLS_CERT: cert } = process.env;
if (cert) {
  process.env.NODE_TLS_REJECT_UNAUTHORIZED = '0';
  process.removeAllListeners('warning');
}
const answer = await fetch(`${cert ? 'https' : 'http'}://127.0.0.1:${port}/health`);
process.exitCode = answer.ok ? 0 : 1;
