/** An option of a command. */
export interface CommandOption {
  readonly type: "string" | "boolean";
  /** one letter, such as "o" for -o */
  readonly short?: string;
  /** how the help names the value, for example "folder"; for options of type string */
  readonly value?: string;
  /** one line of help */
  readonly text: string;
}

/** An argument without a name. */
export interface CommandArgument {
  readonly name: string;
  readonly isRequired: boolean;
  /** whether any number of them may follow */
  readonly isRepeated?: boolean;
  /** one line of help */
  readonly text: string;
}

/** What a person typed after the name of the command. */
export interface Given {
  /** arguments without a name, in order */
  readonly arguments: readonly string[];
  /** options by their long name */
  readonly options: Readonly<Record<string, string | boolean | undefined>>;
}

/** A command of the `airpath` command line. */
export interface Command {
  readonly name: string;
  /** one line of help, without a full stop */
  readonly summary: string;
  readonly arguments: readonly CommandArgument[];
  readonly options: Readonly<Record<string, CommandOption>>;
  /** whole lines as one types them, each with what it does */
  readonly examples: readonly (readonly [line: string, does: string])[];
  /** Does the work; resolves to the exit code, 0 when all is well and 1 when not. */
  readonly run: (given: Given) => Promise<number>;
}
