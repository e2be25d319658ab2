// How the core's start stands, and why a call to it has no answer.

export const ENGINE = {
  stages: ["Starting", "Unpacking", "Reading the procedure", "Ready"],
  slowStart: "The app's calculation did not start in time.",
  stopped: /** @param {string} why */ (why) => `The app's calculation stopped: ${why}.`,
  notLoaded: "The app's calculation stopped: its files could not be loaded.",
  ended: "The app's calculation was ended.",
  late: /** @param {string} name @param {number} seconds */ (name, seconds) =>
    `No answer to “${name}” within ${seconds} s.`,
  restarted: "The app's calculation was restarted.",
};
