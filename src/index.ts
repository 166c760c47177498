export * from "./cv/index.js";
