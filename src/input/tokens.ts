import { CST, Lexer, Parser } from "yaml";

/** What the lexer puts between lexemes and the text does not have. */
const MARKS: ReadonlySet<string> = new Set([CST.DOCUMENT, CST.FLOW_END, CST.SCALAR]);

/** The tokens directly inside a token. */
function inside(token: CST.Token): (CST.Token | null | undefined)[] {
  if (token.type === "document") return [token.value];
  if ("items" in token) return token.items.flatMap((item) => [item.key, item.value]);
  return [];
}

/** Tokens of a text, or the offset of the first thing that is nested too deep. */
export type Tokens = { readonly tokens: readonly CST.Token[] } | { readonly deep: number };

/** Parses lexeme by lexeme; flow brackets that go too deep end it before they take memory. */
function tokensOf(text: string, most: number): Tokens {
  const parser = new Parser();
  const tokens: CST.Token[] = [];
  let offset = 0;
  let depth = 0;
  for (const lexeme of new Lexer().lex(text)) {
    if (lexeme === "[" || lexeme === "{") depth += 1;
    if (lexeme === "]" || lexeme === "}") depth = Math.max(0, depth - 1);
    if (depth > most) return { deep: offset };
    if (!MARKS.has(lexeme)) offset += lexeme.length;
    for (const token of parser.next(lexeme)) tokens.push(token);
  }
  for (const token of parser.end()) tokens.push(token);
  return { tokens };
}

/**
 * The tokens of a YAML text in which lists and mappings stand at most `most` deep. It works without recursion:
 * turning tokens into a document recurses, and a hostile text would exhaust the stack there.
 */
export function tokenize(text: string, most: number): Tokens {
  const result = tokensOf(text, most);
  if ("deep" in result) return result;
  let level = result.tokens;
  // Level 0 is the document, level 1 its root.
  for (let depth = 0; level.length > 0; depth += 1) {
    const deep = level.find((token) => "items" in token);
    if (depth > most && deep !== undefined) return { deep: deep.offset };
    const next: CST.Token[] = [];
    for (const token of level) for (const t of inside(token)) if (t) next.push(t);
    level = next;
  }
  return result;
}
