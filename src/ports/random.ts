// Randomness, handed in, so that tests can hold it still.

export interface Random {
  bytes(count: number): Uint8Array;
}
