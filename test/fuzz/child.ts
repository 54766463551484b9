/** Tries the inputs that the parent names, one after another below a folder of its own, and tells how each was taken. */
import { makeParquet } from "./parquet.js";
import { type InputName, makePlace, tryInput } from "./try-input.js";

await makeParquet();
const place = await makePlace(process.argv[2]!);
process.on("message", (name: InputName) => {
  void tryInput(place, name).then((outcome) => {
    process.send!({ outcome, megabytes: process.resourceUsage().maxRSS / 1024 });
  });
});
process.on("disconnect", () => process.exit(0));
process.send!("ready");
