// How much of the folders of a card is read at most, whatever it says of itself and whatever its file system.

export const maxDepth = 64;
export const maxNodes = 200_000;
