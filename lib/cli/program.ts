import { Command, CommanderError } from "commander";
import { BeadbenchError } from "../errors/index.js";
import { registerCalibration } from "./commands/calibration.js";
import { registerCheck } from "./commands/check.js";
import { registerConfirm } from "./commands/confirm.js";
import { registerCooling } from "./commands/cooling.js";
import { registerDemo } from "./commands/demo.js";
import { registerEvaluate } from "./commands/evaluate.js";
import { registerExport } from "./commands/export.js";
import { registerFit } from "./commands/fit.js";
import { registerImport } from "./commands/import.js";
import { registerIncident } from "./commands/incident.js";
import { registerLog } from "./commands/log.js";
import { registerNew } from "./commands/new.js";
import { registerNext } from "./commands/next.js";
import { registerPhysics } from "./commands/physics.js";
import { registerPlan } from "./commands/plan.js";
import { registerPreset } from "./commands/preset.js";
import { registerPurge } from "./commands/purge.js";
import { registerReport } from "./commands/report.js";
import { registerSection } from "./commands/section.js";
import { registerStandoff } from "./commands/standoff.js";
import { registerWindow } from "./commands/window.js";
import { registerWireReadings } from "./commands/wire-readings.js";
import { type CommandIo, ExitStatus } from "./io.js";

const cautions = `
Cautions: arc light, fume, inert gas, electric shock and high frequency, hot metal and water, fire.
Numbers printed here are estimates from your own coupons, never a permit: local codes, the makers'
manuals and licensed practice come first, and no arc runs unattended on the word of a program.
`;

/** Exit codes of every command. */
export const exitCodes = { success: 0, userError: 1, internalError: 2 } as const;

/** The whole command line as a commander program. */
function program(io: CommandIo): Command {
  const root = new Command("beadbench")
    .description("Find wire-arc deposition settings from few coupons, and know how sure you are")
    .version("0.1.0")
    .exitOverride()
    .configureOutput({ writeOut: io.out, writeErr: io.note })
    .showHelpAfterError("(see --help)")
    .addHelpText("after", cautions);
  for (const register of [
    registerNew,
    registerPlan,
    registerEvaluate,
    registerImport,
    registerLog,
    registerIncident,
    registerCheck,
    registerFit,
    registerWindow,
    registerNext,
    registerPreset,
    registerConfirm,
    registerExport,
    registerReport,
    registerPhysics,
    registerStandoff,
    registerSection,
    registerWireReadings,
    registerCalibration,
    registerCooling,
    registerPurge,
    registerDemo,
  ]) {
    register(root, io);
  }
  return root;
}

/**
 * Runs one command.
 *
 * @param args - what follows the program's name
 * @returns the exit code: 0 done, 1 the user's input or a failed check, 2 a fault of the program
 */
export async function runCommandLine(args: readonly string[], io: CommandIo): Promise<number> {
  try {
    await program(io).parseAsync(args, { from: "user" });
    return exitCodes.success;
  } catch (error) {
    if (error instanceof ExitStatus) return error.status;
    if (error instanceof CommanderError)
      return error.exitCode === 0 ? exitCodes.success : exitCodes.userError;
    if (error instanceof BeadbenchError) {
      io.note(`beadbench: ${error.message}\n`);
      return exitCodes.userError;
    }
    const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
    io.note(`beadbench: internal error, please report it with the command you ran\n${stack}\n`);
    return exitCodes.internalError;
  }
}
