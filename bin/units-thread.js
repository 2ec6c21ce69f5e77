// A thread of `record check`: whether each unit's row is what its entries add up to. Nothing else.
const { parentPort, workerData } = require('node:worker_threads');
const { loadTool } = require('./load-tool.js');

loadTool()
  .checkUnitsOf(workerData.path)
  .then((findings) => {
    parentPort.postMessage(findings);
  });
