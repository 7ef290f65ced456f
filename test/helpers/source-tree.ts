import { readdirSync, readFileSync } from 'node:fs';
import { join, posix } from 'node:path';
import { type ParseResult, parseSync, type TSSignature, Visitor } from 'oxc-parser';
import { packageRoot } from '../../config/package-root.js';

/** What a file of the project's source says about itself, as far as the rules of the house ask. */
export interface SourceFile {
  /** Relative to the project, with forward slashes. */
  readonly path: string;
  readonly lines: number;
  /** Files of the project that it imports, types included, each once. */
  readonly imports: readonly string[];
  readonly functions: readonly SourceFunction[];
  /** Places (`file:line name`) of exported functions, constants, classes and types without a doc comment. */
  readonly undocumented: readonly string[];
  /** Places of members without a doc comment in exported types that people fill in: see `filledIn`. */
  readonly undocumentedMembers: readonly string[];
}

/** A function, method, accessor or arrow. */
export interface SourceFunction {
  /** `file:line` where it begins. */
  readonly place: string;
  /** From its first word to its closing bracket; comments above it do not count. */
  readonly lines: number;
  /** Declared, a method, or the value of a constant: not one that is only handed to another function. */
  readonly isNamed: boolean;
}

interface Span {
  readonly start: number;
  readonly end: number;
}

/** Types whose members are settings: each member says what it means. */
const filledIn = /(?:Options|Settings|Spec|Request|Job)$/;

/** All of the project's own code: tests and what is built are left out. */
export function readSources(root = packageRoot()): SourceFile[] {
  const folders = ['config', 'pipeline', 'watch', 'sample-job'];
  const inFolders = folders.flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .map((name) => `${folder}/${name.replaceAll('\\', '/')}`)
      .filter((path) => path.endsWith('.ts')),
  );
  return ['cli.ts', ...inFolders.sort()].map((path) =>
    readSource(path, readFileSync(join(root, path), 'utf8')),
  );
}

/** Reads one file. */
export function readSource(path: string, text: string): SourceFile {
  const parsed = parseText(path, text);
  const source = new Source(path, text, parsed);
  return {
    path,
    lines: text.split('\n').length - (text.endsWith('\n') ? 1 : 0),
    imports: importsOf(source),
    functions: functionsOf(source),
    ...missingDocs(source),
  };
}

/** The syntax tree of a file of TypeScript or AssemblyScript; one that cannot be read to its end is refused. */
export function parseText(path: string, text: string): ParseResult {
  const parsed = parseSync(path, text);
  if (parsed.errors.length > 0) throw new SyntaxError(`${path}: ${parsed.errors[0].message}`);
  return parsed;
}

class Source {
  private readonly docEnds: ReadonlySet<number>;

  constructor(
    readonly path: string,
    readonly text: string,
    readonly parsed: ParseResult,
  ) {
    const docs = parsed.comments.filter(({ type, value }) => type === 'Block' && value.startsWith('*'));
    this.docEnds = new Set(docs.map(({ end }) => end));
  }

  linesOf({ start, end }: Span): number {
    return this.text.slice(start, end).split('\n').length;
  }

  placeOf({ start }: Span): string {
    return `${this.path}:${this.linesOf({ start: 0, end: start })}`;
  }

  /** Whether a doc comment stands right above, with nothing but white space between. */
  isDocumented({ start }: Span): boolean {
    return this.docEnds.has(this.text.slice(0, start).trimEnd().length);
  }
}

function importsOf({ path, text, parsed }: Source): string[] {
  const requests = [
    ...parsed.module.staticImports.map(({ moduleRequest }) => moduleRequest.value),
    ...parsed.module.staticExports.flatMap(({ entries }) =>
      entries.flatMap(({ moduleRequest }) => moduleRequest?.value ?? []),
    ),
    ...parsed.module.dynamicImports.map(({ moduleRequest: { start, end } }) =>
      text.slice(start + 1, end - 1),
    ),
  ];
  new Visitor({ TSImportType: ({ source }) => void requests.push(source.value) }).visit(parsed.program);
  const own = requests.filter((request) => request.startsWith('.'));
  const files = own.map((request) => posix.join(posix.dirname(path), request.replace(/\.js$/, '.ts')));
  return [...new Set(files)];
}

function functionsOf(source: Source): SourceFunction[] {
  const found: SourceFunction[] = [];
  const named = new Set<Span | null | undefined>();
  const add = (node: Span, isNamed: boolean) =>
    void found.push({ place: source.placeOf(node), lines: source.linesOf(node), isNamed });
  new Visitor({
    MethodDefinition: ({ value }) => void named.add(value),
    PropertyDefinition: ({ value }) => void named.add(value),
    VariableDeclarator: ({ init }) => void named.add(init),
    FunctionDeclaration: (node) => add(node, true),
    FunctionExpression: (node) => add(node, named.has(node)),
    ArrowFunctionExpression: (node) => add(node, named.has(node)),
  }).visit(source.parsed.program);
  return found;
}

function missingDocs(source: Source): Pick<SourceFile, 'undocumented' | 'undocumentedMembers'> {
  const undocumented: string[] = [];
  const undocumentedMembers: string[] = [];
  new Visitor({
    ExportNamedDeclaration: (node) => {
      const { declaration } = node;
      if (declaration === null) return;
      const name = nameOf(declaration);
      if (!source.isDocumented(node)) undocumented.push(`${source.placeOf(node)} ${name}`);
      if (!filledIn.test(name)) return;
      for (const member of membersOf(declaration)) {
        if (source.isDocumented(member)) continue;
        undocumentedMembers.push(`${source.placeOf(member)} ${name}.${memberName(source, member)}`);
      }
    },
  }).visit(source.parsed.program);
  return { undocumented, undocumentedMembers };
}

type Declared = NonNullable<
  Parameters<
    NonNullable<ConstructorParameters<typeof Visitor>[0]['ExportNamedDeclaration']>
  >[0]['declaration']
>;

function nameOf(declaration: Declared): string {
  const named = declaration.type === 'VariableDeclaration' ? declaration.declarations[0] : declaration;
  return 'id' in named && named.id !== null && 'name' in named.id ? named.id.name : '';
}

/** Members of an interface, or of a type that is written as one. */
function membersOf(declaration: Declared): readonly TSSignature[] {
  if (declaration.type === 'TSInterfaceDeclaration') return declaration.body.body;
  if (declaration.type !== 'TSTypeAliasDeclaration') return [];
  const type = declaration.typeAnnotation;
  const sides = type.type === 'TSIntersectionType' ? type.types : [type];
  return sides.flatMap((side) => (side.type === 'TSTypeLiteral' ? side.members : []));
}

function memberName(source: Source, member: TSSignature): string {
  return 'key' in member ? source.text.slice(member.key.start, member.key.end) : '()';
}
