// What the generated TypeScript client is asked to do; it prints what it was answered.

import { animalsList, findingsList, meRetrieve, readingsCreate, weighingsCreate } from "./client";
import type { ReadingColumnsIn, WeighingIn, WeighingOut } from "./client";
import { client } from "./client/client.gen";

interface Asked {
  readings: ReadingColumnsIn;
  weighing: WeighingIn;
  slip: WeighingIn;
}

const [address, token, sent] = process.argv.slice(2) as [string, string, string];
const asked = JSON.parse(sent) as Asked;
client.setConfig({ baseUrl: address, auth: () => token });

async function animals(): Promise<string[]> {
  const codes: string[] = [];
  let cursor: string | undefined;
  do {
    const { data } = await animalsList({ query: { page_size: 1, cursor }, throwOnError: true });
    codes.push(...data.results.map((animal) => animal.code));
    cursor = data.next ? (new URL(data.next).searchParams.get("cursor") ?? undefined) : undefined;
  } while (cursor);
  return codes;
}

async function main(): Promise<void> {
  const me = (await meRetrieve({ throwOnError: true })).data;
  const codes = await animals();
  const report = (await readingsCreate({ body: asked.readings, throwOnError: true })).data;
  const again = (await readingsCreate({ body: asked.readings, throwOnError: true })).data;
  const weighed = await weighingsCreate({ body: asked.weighing, throwOnError: true });
  const weighing = weighed.data as WeighingOut;
  const { error } = await weighingsCreate({ body: asked.slip });
  if (!error) throw new Error("the slip was taken");
  const findings = (await findingsList({ query: { open: true }, throwOnError: true })).data;
  console.log(
    JSON.stringify({
      me: me.username,
      animals: codes,
      stored: [report.stored, again.stored, again.known],
      weighing: [weighing.animal?.code, weighing.mass_g],
      refusal: [error.status, error.code, error.confirm],
      findings: findings.results.map(({ kind, urgency, sentence }) => [kind, urgency, sentence]),
    }),
  );
}

main().catch((error: unknown) => {
  console.error(error);
  process.exitCode = 1;
});
