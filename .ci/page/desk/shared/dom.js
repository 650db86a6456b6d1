// The desk's page is given this module of the phone's page under an address of its own: here it
// stands for that, so that types are followed through.
export * from "../../../../yieldopt/web/static/view/dom.js";
