/** `node --import kill-at.mjs`: ends the process, as SIGKILL does, just before the KILL_ATth time that a file is renamed or removed. */
import fs from 'node:fs';
import process from 'node:process';

let left = Number(process.env.KILL_AT);

/** @template {readonly unknown[]} A @param {(...args: A) => void} real @returns {(...args: A) => void} */
const killing =
  (real) =>
  (...args) => {
    if (left-- === 1) process.kill(process.pid, 'SIGKILL');
    real(...args);
  };

fs.renameSync = killing(fs.renameSync);
fs.rmSync = killing(fs.rmSync);
