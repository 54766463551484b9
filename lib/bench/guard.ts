import { randomBytes, randomInt, timingSafeEqual } from "node:crypto";
import { hostname, networkInterfaces } from "node:os";

const loopback = ["localhost", "127.0.0.1", "[::1]"];

/** Whether an address is this machine's own and reached by nothing else. */
export const isLoopback = (host: string): boolean => loopback.includes(host) || host === "::1";

/**
 * The names under which the page may be asked for. A page elsewhere that makes its own name point here (DNS rebinding)
 * still asks under that name, and is turned away.
 *
 * @param host - the address listened on; all of the machine's own where it is 0.0.0.0 or ::
 */
export function ownNames(host: string): ReadonlySet<string> {
  const bracketed = (address: string): string => (address.includes(":") ? `[${address}]` : address);
  const all = host === "0.0.0.0" || host === "::";
  const addresses = Object.values(networkInterfaces()).flatMap((found) =>
    (found ?? []).map(({ address }) => bracketed(address)),
  );
  const named = [hostname(), `${hostname()}.local`].map((name) => name.toLowerCase());
  return new Set([...loopback, bracketed(host.toLowerCase()), ...(all ? [...addresses, ...named] : [])]);
}

/** What a request says of where it comes from. */
export interface Sender {
  readonly method: string;
  readonly host: string | undefined;
  readonly origin: string | undefined;
  readonly site: string | undefined;
}

/** Why a request must not be answered; undefined where it may. */
export function whyStrange(
  { method, host, origin, site }: Sender,
  names: ReadonlySet<string>,
): string | undefined {
  const name = host?.toLowerCase().replace(/:\d+$/, "");
  if (name === undefined || !names.has(name))
    return "the page is not served under this name; use the address that beadbench printed";
  if (method === "GET" || method === "HEAD") return undefined;
  if (origin !== `http://${host}` || (site !== undefined && site !== "same-origin"))
    return "only the bench page itself may write; open it at the address that beadbench printed";
  return undefined;
}

/** Wrong codes after which another one is made, and none is taken for a while: of 10^8 codes some 7000 are tried in a day. */
const MOST_TRIES = 5;
const SHUT_MS = 60_000;

/** The door of a page that others on the network can reach: a code shown in the terminal lets one device in, once. */
export interface Door {
  /** Lets a device in: the key it shows from now on; undefined for a wrong code. */
  open(code: string): string | undefined;
  knows(key: string | undefined): boolean;
}

/**
 * A door with a fresh code of eight digits. After it was used, or wrongly guessed five times, it is void and another is
 * shown.
 *
 * @param show - tells a new code to whoever sits at the terminal
 * @param clock - the door stays shut for a minute after five wrong codes, also to the right one
 */
export function makeDoor(show: (code: string) => void, clock: () => Date): Door {
  const keys = new Set<string>();
  let code = "";
  let tries = 0;
  let shutUntil = Number.NEGATIVE_INFINITY;
  const renew = (): void => {
    code = String(randomInt(0, 100_000_000)).padStart(8, "0");
    tries = 0;
    show(code);
  };
  renew();
  return {
    open(given) {
      const now = clock().getTime();
      // A clock set back does not shut the door for longer than the minute.
      if (now < shutUntil && now >= shutUntil - SHUT_MS) return undefined;
      const plain = Buffer.from(given.replaceAll(/\D/g, ""));
      const right = plain.length === code.length && timingSafeEqual(plain, Buffer.from(code));
      tries++;
      if (!right) {
        if (tries >= MOST_TRIES) {
          shutUntil = now + SHUT_MS;
          renew();
        }
        return undefined;
      }
      const key = randomBytes(32).toString("hex");
      keys.add(key);
      renew();
      return key;
    },
    knows: (key) => key !== undefined && keys.has(key),
  };
}
