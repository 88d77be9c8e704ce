import { brokerAddress } from '../../../collector-service/ingest/broker-address.ts';
import { connectTo } from '../../../collector-service/ingest/broker-client.ts';

/** Run on its own, so that NODE_EXTRA_CA_CERTS is read: connects once and says how it went. */
const client = connectTo(
  {
    address: brokerAddress(process.argv[2]!),
    version: 5,
    username: null,
    password: null,
    clientId: 'secure',
  },
  { clean: true },
);
client.once('connect', () => {
  console.log('connected');
  client.end(true);
});
client.once('error', (error) => console.log(error.message));
