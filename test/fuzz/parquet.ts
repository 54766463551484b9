import { existsSync, mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";

const path = join(mkdtempSync(join(tmpdir(), "fuzz-parquet-")), "trace.parquet");

/** Has another program write a recording of 600 rows, for {@link traceParquet}. */
export async function makeParquet(): Promise<void> {
  const instance = await DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  const select =
    'select n / 100.0::double as "time [s]", if(n % 100 < 10, 0, 150 + n % 7)::float as "current [A]", if(n % 100 < 10, 0, 12)::integer as "voltage [V]" from range(600) r(n)';
  await connection.run(
    `copy (${select}) to '${path}' (format parquet, compression snappy, row_group_size 200)`,
  );
  connection.closeSync();
  instance.closeSync();
}

/** The bytes of that recording; none where it was not made. */
export const traceParquet = (): Buffer => (existsSync(path) ? readFileSync(path) : Buffer.from("PAR1"));
