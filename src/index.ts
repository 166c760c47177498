export * from "./codec/index.js";
export * from "./cv/index.js";
export * from "./decoder/index.js";
