// How many rows a page of any list holds: stands in the queries, and tells the stores where a list ends.

export const pageLength = 500;
