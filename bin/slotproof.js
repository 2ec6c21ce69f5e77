#!/usr/bin/env node
// Starts src/cli; nothing else.
const { loadTool } = require('./load-tool.js');

loadTool()
  .main(process.argv.slice(2))
  .then((exit) => {
    process.exitCode = exit;
  });
