import { type ParamPattern, type Statement, type TSType, Visitor } from 'oxc-parser';
import { parseText } from './source-tree.js';

/** A function as its callers see it: `(from, to, count): number`. By its name. */
export type Signatures = Record<string, string>;

/** The methods that the interfaces of a file declare. */
export function interfaceMethods(text: string): Signatures {
  const found: Signatures = {};
  new Visitor({
    TSInterfaceDeclaration: ({ body }) => {
      for (const member of body.body) {
        if (member.type !== 'TSMethodSignature' || member.key.type !== 'Identifier') continue;
        found[member.key.name] = signature(member.params, member.returnType?.typeAnnotation);
      }
    },
  }).visit(parseText('interface.ts', text).program);
  return found;
}

/**
 * The functions that a file of AssemblyScript exports, its own and those it passes on from files beside it.
 * @param read text of a file by its name
 */
export function exportedFunctions(path: string, read: (path: string) => string): Signatures {
  const found: Signatures = {};
  for (const statement of parseText(path, read(path)).program.body) {
    if (statement.type !== 'ExportNamedDeclaration') continue;
    if (statement.source !== null) {
      const others = exportedFunctions(`${statement.source.value.replace('./', '')}.ts`, read);
      for (const { exported } of statement.specifiers) {
        if (exported.type === 'Identifier') found[exported.name] = others[exported.name];
      }
    } else Object.assign(found, functionOf(statement.declaration));
  }
  return found;
}

function functionOf(declaration: Statement | null): Signatures {
  if (declaration?.type !== 'FunctionDeclaration' || declaration.id === null) return {};
  return { [declaration.id.name]: signature(declaration.params, declaration.returnType?.typeAnnotation) };
}

/** Every number type of the kernels is a number outside. */
function signature(params: readonly ParamPattern[], returns: TSType | undefined): string {
  const names = params.map((each) => (each.type === 'Identifier' ? each.name : '?'));
  return `(${names.join(', ')}): ${returns?.type === 'TSVoidKeyword' ? 'void' : 'number'}`;
}
