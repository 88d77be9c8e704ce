import { BlockList, isIPv6 } from 'node:net';

/**
 * How near an address may be that somebody told us to call: on the internet alone; in the home too, but
 * neither this computer nor its own link; or anywhere.
 */
export type Reach = 'internet' | 'home' | 'anywhere';

/** A network by its first address and the length of its prefix, and whether the home may be called in it. */
const networks: [network: string, bits: number, isHome?: true][] = [
  // IANA's registries of addresses for special purposes (RFC 6890), multicast (RFC 5771, RFC 4291)
  ['0.0.0.0', 8],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['224.0.0.0', 4],
  ['240.0.0.0', 4],
  ['10.0.0.0', 8, true],
  ['172.16.0.0', 12, true],
  ['192.168.0.0', 16, true],
  ['100.64.0.0', 10, true],
  ['192.0.0.0', 24, true],
  ['198.18.0.0', 15, true],
  ['::', 96], // unspecified, loopback, and IPv4 addresses in their oldest disguise
  ['fe80::', 10],
  ['ff00::', 8],
  ['fc00::', 7, true],
  ['fec0::', 10, true],
];

const near = new BlockList();
const home = new BlockList();
for (const [network, bits, isHome] of networks) {
  const list = isHome ? home : near;
  if (isIPv6(network)) list.addSubnet(network, bits, 'ipv6');
  else {
    list.addSubnet(network, bits, 'ipv4');
    // mapped (RFC 4291), translated (RFC 6052, 8215) and 6to4 (RFC 3056): each has the IPv4 address in it
    for (const prefix of ['::ffff:', '64:ff9b::', '64:ff9b:1::']) {
      list.addSubnet(prefix + network, 96 + bits, 'ipv6');
    }
    list.addSubnet(`2002:${inGroups(network)}::`, 16 + bits, 'ipv6');
  }
}

/** Whether an address (one, not a name) lies within reach. */
export function isWithin(address: string, reach: Reach): boolean {
  if (reach === 'anywhere') return true;
  const [bare] = address.split('%'); // fe80::1%eth0
  const family = isIPv6(bare!) ? 'ipv6' : 'ipv4';
  return !near.check(bare!, family) && (reach === 'home' || !home.check(bare!, family));
}

/** An IPv4 address as two groups of an IPv6 one. */
function inGroups(ipv4: string): string {
  const [a, b, c, d] = ipv4.split('.').map(Number) as [number, number, number, number];
  return `${(a * 256 + b).toString(16)}:${(c * 256 + d).toString(16)}`;
}
