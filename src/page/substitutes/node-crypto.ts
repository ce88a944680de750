import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";

/** Stands in for node:crypto in a page: SHA-256 of one text, in hexadecimal whatever form is asked for. */
export function createHash(_algorithm: "sha256") {
  let text = "";
  const hash = {
    update(more: string) {
      text += more;
      return hash;
    },
    digest: (_form: string) => bytesToHex(sha256(utf8ToBytes(text))),
  };
  return hash;
}
