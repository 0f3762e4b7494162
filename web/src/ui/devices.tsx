// SPDX-License-Identifier: GPL-3.0-or-later
// The devices that the server lets in, and how to let one in no longer.

import { useState } from 'preact/hooks';
import { aboutServer } from '../api';
import { bookDevices, revokeDevice, type Device } from '../book';
import { Head, Standing } from './answer';
import { useWork } from './hooks';
import { when } from './past';

function Line({ d, again }: { d: Device; again: () => void }) {
  const [sure, setSure] = useState(false);
  const [why, setWhy] = useState('');
  const revoke = async () => {
    try {
      await revokeDevice(d.id);
      again();
    } catch (e) {
      setWhy(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <li class="device">
      <p>
        <b>{d.name}</b>
        {d.this ? ', this one' : ''}
        <span class="sure">
          {' '}
          let in {when(d.since)}, last seen {when(d.seen)}
        </span>
      </p>
      <p class="words">
        {sure ? (
          <>
            <button type="button" onClick={() => void revoke()}>
              yes, let {d.name} in no longer
            </button>
            <button type="button" onClick={() => setSure(false)}>
              no, keep it
            </button>
          </>
        ) : (
          <button type="button" onClick={() => setSure(true)}>
            let {d.name} in no longer
          </button>
        )}
      </p>
      {why ? (
        <p class="why-not" role="alert">
          {why}
        </p>
      ) : null}
    </li>
  );
}

export function Devices() {
  const [n, setN] = useState(0);
  const answer = useWork(async () => {
    const about = await aboutServer();
    return { about, devices: await bookDevices() };
  }, [n]);
  if (!answer.result) return <Standing of={answer} />;
  const { about, devices } = answer.result;
  return (
    <>
      <Head
        number={String(devices.length)}
        what={`${devices.length === 1 ? 'device is' : 'devices are'} let in`}
        plain={
          about.transport === 'loopback'
            ? 'Only browsers on this machine come in. Started with --studio-network the program shows a code that lets a tablet in.'
            : 'One that is lost or was lent: let it in no longer. It then needs a new code from the terminal.'
        }
        sure={about.warning}
      />
      <Standing of={answer} />
      <ul class="devices">
        {devices.map((d) => (
          <Line key={d.id} d={d} again={() => setN(n + 1)} />
        ))}
      </ul>
    </>
  );
}
