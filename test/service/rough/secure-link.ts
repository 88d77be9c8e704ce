import { leave, openHouse, openOutside } from '../broker/hearing-house.ts';

/**
 * Run on its own, so that NODE_EXTRA_CA_CERTS is read: links to a broker, says what is wrong with that
 * whenever it changes, and ends once nothing is.
 */
const house = await openHouse();
const hearing = await openOutside(house, process.argv[2]!);
let said = '';
while (said !== 'well') {
  const says = hearing.health().trouble ?? 'well';
  if (says !== said) console.log(says);
  said = says;
  await new Promise((resolve) => setTimeout(resolve, 20));
}
await leave();
