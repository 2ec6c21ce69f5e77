// The only file that makes adapters.
