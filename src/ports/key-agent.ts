// A program that holds private keys and signs with them, so that no other one sees them: an ssh-agent.

import type { KeySignature } from '../bytes/ssh/key-signature.ts';

export interface KeyAgent {
  /** undefined: there is no agent, it does not hold this key, or whoever sits there said no. */
  sign(publicKey: Uint8Array, data: Uint8Array): Promise<KeySignature | undefined>;
}
