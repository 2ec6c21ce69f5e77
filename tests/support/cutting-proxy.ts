// A way to a server that breaks off: each connection is cut in both directions after so many bytes, counted over both.

import { createServer, connect as dial, type Socket } from 'node:net';

export interface CuttingProxy {
  readonly port: number;
  /** Bytes that each coming connection may carry, one after the other; when they are used up, all may carry any. */
  cutAfter(...bytes: number[]): void;
  /** Bytes carried since the last `cutAfter`. */
  carried(): number;
  close(): Promise<void>;
}

export async function cuttingProxy(targetPort: number): Promise<CuttingProxy> {
  let limits: number[] = [];
  let carried = 0;
  const open = new Set<Socket>();
  const server = createServer((near) => {
    let left = limits.shift() ?? Number.POSITIVE_INFINITY;
    const far = dial(targetPort, '127.0.0.1');
    const both = [near, far];
    const cut = () => {
      for (const one of both) {
        one.destroy();
        open.delete(one);
      }
    };
    for (const [from, to] of [
      [near, far],
      [far, near],
    ] as const) {
      open.add(from);
      from.on('data', (bytes: Buffer) => {
        const passing = bytes.subarray(0, Math.max(0, left));
        left -= bytes.length;
        carried += passing.length;
        if (left > 0) to.write(passing);
        // What still fits goes out, and then the line is dead.
        else to.write(passing, cut);
      });
      from.on('error', cut);
      from.on('close', cut);
    }
    if (left <= 0) cut();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  return {
    port: typeof address === 'object' && address !== null ? address.port : 0,
    cutAfter(...bytes) {
      limits = bytes;
      carried = 0;
    },
    carried: () => carried,
    close: () =>
      new Promise((resolve) => {
        for (const one of open) one.destroy();
        server.close(() => resolve());
      }),
  };
}
